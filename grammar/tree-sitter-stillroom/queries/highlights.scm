; What is coloured how.

(comment) @comment
(string) @string
(step) @string
(escape) @string.escape
(placeholder) @variable.parameter

(keyword) @keyword
(constant) @constant.builtin

(number) @number
(unit) @type.builtin
(date) @string.special
(time) @string.special
(operator) @operator

(shelf_path) @string.special

(name) @variable

(line material: (name) @variable)
(material base: (name) @type)
(variant base: (name) @function)

(substance name: (name) @type)
(material name: (name) @type)
(container name: (name) @type)
(formula name: (name) @function)
(variant name: (name) @function)
(batch name: (name) @function)
(rule name: (name) @label)
(group name: (name) @constant)
(let name: (name) @constant)
(phase name: (name) @label)

["{" "}" "(" ")"] @punctuation.bracket
["," ":" "="] @punctuation.delimiter
