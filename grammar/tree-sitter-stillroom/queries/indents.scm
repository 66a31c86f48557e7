; How lines are indented.

(block) @indent
"}" @outdent
