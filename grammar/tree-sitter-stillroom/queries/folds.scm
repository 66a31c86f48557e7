; What folds: whatever stands between braces, and comments of several lines.

(block) @fold
(comment)+ @fold
