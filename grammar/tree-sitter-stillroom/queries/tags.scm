; The names for an outline.

(substance name: (name) @name) @definition.type
(material name: (name) @name) @definition.type
(container name: (name) @name) @definition.type
(formula name: (name) @name) @definition.function
(variant name: (name) @name) @definition.function
(batch name: (name) @name) @definition.function
(rule name: (name) @name) @definition.constant
(group name: (name) @name) @definition.constant
(let name: (name) @name) @definition.constant

(line material: (name) @name) @reference.type
