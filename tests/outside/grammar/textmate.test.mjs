// The grammar by TextMate's rules, read by the library that an editor reads it with.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import fs from "node:fs";
import { createRequire } from "node:module";
import path from "node:path";
import { before, test } from "node:test";
import oniguruma from "vscode-oniguruma";
import textmate from "vscode-textmate";
import { ROOT, stillFiles } from "../common/program.mjs";

const GOLDEN = path.join(ROOT, "tests/outside/grammar/acid-gel.scopes");
const words = JSON.parse(fs.readFileSync(path.join(ROOT, "grammar/tree-sitter-stillroom/words.json"), "utf8"));

let grammar;
before(async () => {
  const wasm = fs.readFileSync(createRequire(import.meta.url).resolve("vscode-oniguruma/release/onig.wasm"));
  await oniguruma.loadWASM(wasm);
  const file = path.join(ROOT, "grammar/stillroom.tmLanguage.json");
  const registry = new textmate.Registry({
    onigLib: Promise.resolve({
      createOnigScanner: (patterns) => new oniguruma.OnigScanner(patterns),
      createOnigString: (text) => new oniguruma.OnigString(text),
    }),
    loadGrammar: async () => textmate.parseRawGrammar(fs.readFileSync(file, "utf8"), file),
  });
  grammar = await registry.loadGrammar("source.stillroom");
});

/** Every stretch of a text that is no blank: its line, where it begins, its text and its scopes. */
function stretches(text) {
  let stack = textmate.INITIAL;
  return text.split("\n").flatMap((line, row) => {
    const read = grammar.tokenizeLine(line, stack);
    stack = read.ruleStack;
    return read.tokens
      .map(({ startIndex, endIndex, scopes }) => ({ row, at: startIndex, text: line.slice(startIndex, endIndex), scopes }))
      .filter((stretch) => stretch.text.trim());
  });
}

/** The examples and the files of the shelf. */
const sound = ["examples", "src/shelf", "tests/judged/sound"].flatMap((folder) =>
  stillFiles(path.join(ROOT, folder)).map((name) => [`${folder}/${name}`, fs.readFileSync(path.join(ROOT, folder, name), "utf8")]),
);

const own = (stretch) => stretch.scopes.at(-1).replace(/\.stillroom$/, "");
const says = (name, stretch) => `${name}:${stretch.row + 1}:${stretch.at + 1}: ${JSON.stringify(stretch.text)} is ${stretch.scopes.join(" ")}`;

test("one example, each stretch of it with its scope", () => {
  const text = fs.readFileSync(path.join(ROOT, "examples/acid-gel.still"), "utf8");
  const found = stretches(text).map((stretch) => `${own(stretch).padEnd(36)} ${stretch.text.trim()}`).join("\n") + "\n";
  if (process.env.STILLROOM_WRITE) fs.writeFileSync(GOLDEN, found);
  assert.equal(found, fs.readFileSync(GOLDEN, "utf8"), "read it through, and write it anew with STILLROOM_WRITE=1");
});

test("there is something to read", () => {
  assert.ok(sound.length > 50, `${sound.length}`);
});

test("nothing is without a scope, and every block is closed where its brace is", () => {
  for (const [name, text] of sound) {
    let depth = 0;
    for (const stretch of stretches(text)) {
      assert.ok(!/^(source|meta\.)/.test(own(stretch)), says(name, stretch));
      const blocks = stretch.scopes.filter((scope) => scope.startsWith("meta.")).length;
      if (own(stretch) === "punctuation.section.block.begin") depth += 1;
      // What opens a block and what closes it belong to it.
      else if (!/^(storage|entity|keyword\.other|string)/.test(own(stretch))) assert.equal(blocks, depth, says(name, stretch));
      if (own(stretch) === "punctuation.section.block.end") depth -= 1;
    }
    assert.equal(depth, 0, name);
  }
});

// A second reading of the text, as plain as can be: comments and strings letter by letter, words by the lists.
function plainly(text) {
  const found = [];
  const blocks = ["file"];
  let opener = "";
  for (const [row, line] of text.split("\n").entries()) {
    let first = true;
    let goesOn = false;
    for (const part of line.matchAll(/#.*|"(?:[^"\\]|\\.)*"|[{}]|,|[A-Za-z][\w-]*|(?<![\w-])\d[\d_]*(?:[.,]\d+)?(?![\w:-])/g)) {
      const [word] = part;
      const here = { row, at: part.index, word };
      if (word.startsWith("#")) found.push({ ...here, kind: "comment" });
      else if (word.startsWith('"')) found.push({ ...here, kind: "string" });
      else if (word === "{") blocks.push(opener === "phase" && blocks.at(-1) === "variant" ? "variant_phase" : opener);
      else if (word === "}") blocks.pop();
      else if (/^\d/.test(word)) found.push({ ...here, kind: "number" });
      else if (word !== "," && first && !plainly.continued) {
        const block = blocks.at(-1);
        const opens = words.blocks[block]?.opens.includes(word);
        if (opens) found.push({ ...here, kind: "opens" });
        else if (["phase", "plan"].includes(block)) found.push({ ...here, kind: "material" });
        opener = word;
      }
      goesOn = word === ",";
      first = word === "{";
    }
    // A list goes on after its comma; a comment after it is none of it.
    plainly.continued = /,\s*(#.*)?$/.test(line) || (plainly.continued && /^\s*(#.*)?$/.test(line));
  }
  return found;
}

const KINDS = {
  comment: /^comment\.line/,
  string: /^string\.quoted|^constant\.character|^variable\.parameter/,
  number: /^constant\.numeric/,
  opens: /^keyword\.control|^storage\.type/,
  material: /^variable\.other\.material/,
};

test("comments, strings, numbers, words that open a statement, and materials weighed are seen as what they are", () => {
  const seen = {};
  for (const [name, text] of sound) {
    const byRow = Map.groupBy ? Map.groupBy(stretches(text), ({ row }) => row) : stretches(text).reduce((rows, one) => rows.set(one.row, [...(rows.get(one.row) ?? []), one]), new Map());
    plainly.continued = false;
    for (const { row, at, word, kind } of plainly(text)) {
      const stretch = byRow.get(row)?.find((one) => one.at <= at && at < one.at + one.text.length);
      assert.ok(stretch && KINDS[kind].test(own(stretch)), `${JSON.stringify(word)} should be ${kind}; ${stretch ? says(name, stretch) : `${name}:${row + 1}`}`);
      seen[kind] = (seen[kind] ?? 0) + 1;
    }
  }
  for (const kind of Object.keys(KINDS)) assert.ok(seen[kind] > 200, `${kind}: ${seen[kind]}`);
});

test("every unit is one behind its figure, and every closed word after the word that asks for it", () => {
  for (const unit of words.units) {
    const read = stretches(`material m {\n  keeps 3 ${unit}\n}`);
    assert.ok(read.some((one) => one.text === unit && own(one) === "keyword.other.unit"), `${unit}: ${JSON.stringify(read)}`);
  }
  for (const word of words.values) {
    const read = stretches(`material m {\n  role ${word},\n    ${word}\n  name "n"\n}`);
    assert.equal(read.filter((one) => one.text.trim() === word && own(one) === "support.constant").length, 2, word);
    assert.ok(read.some((one) => one.text.trim() === "name" && own(one) === "keyword.control"), word);
  }
});

test("every word that opens a statement in a block is seen there", () => {
  let count = 0;
  for (const [block, { opens }] of Object.entries(words.blocks)) {
    for (const word of opens) {
      const nested = ["phase", "steps", "plan"].includes(word) && ["formula", "variant", "batch"].includes(block);
      const statement = block === "file" ? `${word} a {` : nested ? `${word}${word === "phase" ? " A" : ""} {` : word === "add" ? "add water 1 %" : word === "let" ? "let a = 1" : `${word} 1`;
      const around = {
        file: [],
        phase: ["formula f {", "phase A {"],
        variant: ["variant v of f {"],
        variant_phase: ["variant v of f {", "phase A {"],
        plan: ["batch b {", "plan {"],
        maker: ["maker {"],
        stock: ["stock {"],
      }[block] ?? [`${block} n {`];
      const read = stretches([...around, `  ${statement}`].join("\n"));
      const found = read.find((one) => one.row === around.length && one.text.trim() === word);
      assert.ok(found && KINDS.opens.test(own(found)), `${block}: ${word}: ${JSON.stringify(read)}`);
      count += 1;
    }
  }
  assert.ok(count > 150, `${count}`);
});

test("the parser for tree-sitter is the one that its grammar makes", () => {
  // With the cargo that is at work already, so that it waits for no lock.
  const words = ["test", "--quiet", "--test", "generated", "the_parser_for_tree_sitter_is_that_of_its_grammar", "--", "--ignored", "--exact", "tree_sitter_parser::the_parser_for_tree_sitter_is_that_of_its_grammar"];
  const told = execFileSync(process.env.CARGO ?? "cargo", words, { cwd: ROOT, encoding: "utf8", stdio: "pipe" });
  assert.match(told, /1 passed/);
});
