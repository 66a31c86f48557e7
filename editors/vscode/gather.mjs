// Brings into this folder what stands elsewhere in the project: the grammar, and the licence.
import fs from "node:fs";

const here = (name) => new URL(name, import.meta.url);
fs.mkdirSync(here("syntaxes"), { recursive: true });
fs.copyFileSync(here("../../grammar/stillroom.tmLanguage.json"), here("syntaxes/stillroom.tmLanguage.json"));
fs.copyFileSync(here("../../LICENSE"), here("LICENSE"));
