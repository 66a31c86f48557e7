; What is declared, and where it is meant.

(source_file) @local.scope
(formula) @local.scope
(variant) @local.scope

(substance name: (name) @local.definition)
(material name: (name) @local.definition)
(container name: (name) @local.definition)
(group name: (name) @local.definition)
(let name: (name) @local.definition)

(name) @local.reference
