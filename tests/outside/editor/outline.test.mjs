// The shape of a text: symbols, what folds, stretches to select, the kinds of its words.

import assert from "node:assert/strict";
import { test } from "node:test";
import { at, editor, protocol } from "../common/editor.mjs";
import { stillFiles, workroom } from "../common/program.mjs";

const {
  DocumentSymbolRequest,
  FoldingRangeRequest,
  SelectionRangeRequest,
  SemanticTokensDeltaRequest,
  SemanticTokensRangeRequest,
  SemanticTokensRequest,
  WorkspaceSymbolRequest,
} = protocol;

const within = (inner, outer) => {
  const no = ({ line, character }) => line * 1e6 + character;
  return no(outer.start) <= no(inner.start) && no(inner.end) <= no(outer.end);
};

/** The words of an answer, each with its kind and what is said besides. */
function words(text, data, { tokenTypes, tokenModifiers }) {
  const lines = text.split("\n");
  const found = [];
  let [line, character] = [0, 0];
  for (let index = 0; index < data.length; index += 5) {
    const [down, along, length, type, said] = data.slice(index, index + 5);
    character = down === 0 ? character + along : along;
    line += down;
    found.push({ line, character, length, word: lines[line].slice(character, character + length), type: tokenTypes[type], said: tokenModifiers.filter((_, bit) => said & (1 << bit)) });
  }
  return found;
}

test("the symbols of every example are its declarations, with their parts within them", async (t) => {
  const room = workroom(t);
  const client = await editor(t, room);
  for (const name of stillFiles(room.folder)) {
    client.open(name);
    const symbols = await client.ask(DocumentSymbolRequest.type, { textDocument: { uri: client.uri(name) } });
    const declared = [...room.read(name).matchAll(/^(?:formula|variant|material|substance|batch|container|rule|group|let) +([\w-]+)/gm)].map(([, named]) => named);
    for (const named of declared) assert.ok(symbols.some((symbol) => symbol.name === named), `${name}: ${named}`);
    const look = (symbol) => {
      assert.ok(within(symbol.selectionRange, symbol.range), `${name}: ${symbol.name}`);
      for (const part of symbol.children ?? []) {
        assert.ok(within(part.range, symbol.range), `${name}: ${part.name} in ${symbol.name}`);
        look(part);
      }
    };
    symbols.forEach(look);
  }
  const [acid, serum] = await client.ask(DocumentSymbolRequest.type, { textDocument: { uri: client.uri("lactic-serum.still") } });
  assert.deepEqual([acid.name, acid.detail, serum.name], ["acid", "= 5 %", "lactic-serum"]);
  assert.deepEqual(serum.children.map(({ name }) => name), ["A", "B", "steps"]);
  assert.equal(serum.children[0].children[0].name, "water");
});

test("symbols of the whole folder are found by some of their letters", async (t) => {
  const room = workroom(t);
  const client = await editor(t, room);
  const found = await client.ask(WorkspaceSymbolRequest.type, { query: "nightc" });
  assert.deepEqual(found.map(({ name, location }) => [name, location.uri]), [["night-cream", client.uri("cream.still")]]);
  assert.deepEqual(await client.ask(WorkspaceSymbolRequest.type, { query: "no such thing" }), []);
  assert.ok((await client.ask(WorkspaceSymbolRequest.type, { query: "" })).length > 40);
});

test("blocks and runs of comments fold, and the brace that closes stays in sight", async (t) => {
  const room = workroom(t);
  const client = await editor(t, room);
  for (const name of stillFiles(room.folder)) {
    const lines = room.read(name).split("\n");
    client.open(name);
    const folds = await client.ask(FoldingRangeRequest.type, { textDocument: { uri: client.uri(name) } });
    const expected = lines.filter((line, number) => /^[^#]*\{$/.test(line) && lines[number + 1].trim() !== "}").length;
    assert.equal(folds.filter(({ kind }) => !kind).length, expected, name);
    for (const { startLine, endLine, kind } of folds) {
      if (kind === "comment") lines.slice(startLine, endLine + 1).forEach((line) => assert.match(line, /^\s*#/));
      else assert.ok(lines[startLine].endsWith("{") && lines[endLine + 1].trim() === "}", `${name}: ${startLine} to ${endLine}`);
    }
  }
});

test("a selection grows from the word to the line, the phase, the formula and the file", async (t) => {
  const room = workroom(t);
  const client = await editor(t, room);
  const name = "lactic-serum.still";
  const text = room.read(name);
  client.open(name);
  const positions = [at(text, "xanthan-gum", { after: 3 }), at(text, "Wet out")];
  const found = await client.ask(SelectionRangeRequest.type, { textDocument: { uri: client.uri(name) }, positions });
  assert.equal(found.length, positions.length);
  const lines = text.split("\n");
  const part = ({ start, end }) => [lines[start.line].slice(start.character), ...lines.slice(start.line + 1, end.line + 1)].join("\n").slice(0, 200);
  const starts = [];
  for (let at = found[0]; at; at = at.parent) {
    if (at.parent) assert.ok(within(at.range, at.parent.range));
    starts.push(part(at.range));
  }
  assert.deepEqual(found[0].range, { start: at(text, "xanthan-gum"), end: at(text, "xanthan-gum", { after: 11 }) });
  for (const opening of ["xanthan-gum         0.5 %", "phase B", "formula lactic-serum", "# A lactic acid serum"]) {
    assert.ok(starts.some((start) => start.startsWith(opening)), `${opening} is selected at some time`);
  }
});

test("every word has its kind, on one line, in order; what has changed is told by itself", async (t) => {
  const room = workroom(t);
  const client = await editor(t, room);
  const { legend } = client.capabilities.semanticTokensProvider;
  for (const name of stillFiles(room.folder)) {
    client.open(name);
    const { data } = await client.ask(SemanticTokensRequest.type, { textDocument: { uri: client.uri(name) } });
    const lines = room.read(name).split("\n");
    for (const { line, character, length, type } of words(room.read(name), data, legend)) {
      assert.ok(type && length > 0 && character + length <= lines[line].length, `${name}: ${line + 1}`);
    }
  }
  const name = "lactic-serum.still";
  const text = room.read(name);
  const textDocument = { uri: client.uri(name) };
  const whole = await client.ask(SemanticTokensRequest.type, { textDocument });
  const found = words(text, whole.data, legend);
  const of = (word, nth = 0) => found.filter((one) => one.word === word)[nth];
  assert.deepEqual([of("formula").type, of("%").type, of("5").type], ["keyword", "type", "number"]);
  assert.deepEqual([of("lactic-serum").type, of("lactic-serum").said], ["function", ["declaration"]]);
  assert.deepEqual([of("acid").type, of("acid").said], ["parameter", ["declaration"]]);
  assert.deepEqual([of("green-tea-extract").type, of("green-tea-extract").said], ["variable", ["defaultLibrary"]]);
  assert.deepEqual([of("our-lactic-acid").type, of("our-lactic-acid").said], ["variable", []]);
  assert.equal(of("face").type, "enumMember");
  // Of a stretch, those of the stretch.
  const { line } = at(text, "xanthan-gum");
  const range = { start: { line, character: 0 }, end: { line, character: text.split("\n")[line].length } };
  const some = await client.ask(SemanticTokensRangeRequest.type, { textDocument, range });
  assert.deepEqual(words(text, some.data, legend), found.filter((one) => one.line === line));
  // One figure longer: the edits of the answer carry the old words over into the new.
  client.change(name, text.replace("0.5 %", "0.55 %"));
  const delta = await client.ask(SemanticTokensDeltaRequest.type, { textDocument, previousResultId: whole.resultId });
  const carried = [...whole.data];
  for (const { start, deleteCount, data = [] } of [...delta.edits].reverse()) carried.splice(start, deleteCount, ...data);
  assert.deepEqual(carried, (await client.ask(SemanticTokensRequest.type, { textDocument })).data);
  assert.ok(delta.edits.length > 0 && delta.edits.every(({ data = [] }) => data.length < 50), "and no more than that");
});
