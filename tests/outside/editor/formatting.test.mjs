// The layout of a document and of any stretch of it: a stretch changes nothing that the whole would not.

import assert from "node:assert/strict";
import { test } from "node:test";
import { edited, editor, protocol } from "../common/editor.mjs";
import { run, stillFiles, workroom } from "../common/program.mjs";

const { DocumentFormattingRequest, DocumentRangeFormattingRequest } = protocol;

const options = { tabSize: 2, insertSpaces: true };
/** A text with its blanks as a hurried hand leaves them; words and comments stay. */
const untidied = (text) =>
  text
    .replace(/^ {2,}/gm, (blanks) => " ".repeat(blanks.length / 2))
    .replace(/(?<=[\w%"]) {2,}(?=[\w"(])/g, " ")
    .replace(/\{$/gm, "  {")
    .replace(/\n\n/g, "\n\n\n");
const words = (text) => text.replace(/\s+/g, " ");

/** Stretches of a text: each seventh beginning, of several lengths, within lines too; and the whole. */
function stretches(text) {
  const lines = text.split("\n");
  const last = lines.length - 1;
  const found = [{ start: { line: 0, character: 0 }, end: { line: last, character: lines[last].length } }];
  for (let first = 0; first < last; first += 7) {
    for (const length of [0, 1, 5, 20]) {
      const end = Math.min(last, first + length);
      found.push({ start: { line: first, character: Math.floor(lines[first].length / 2) }, end: { line: end, character: lines[end].length } });
    }
  }
  return found;
}

test("every example is laid out as by `fmt`, and any stretch of it changes nothing that the whole would not", async (t) => {
  const room = workroom(t);
  const client = await editor(t, room);
  let some = 0;
  for (const name of stillFiles(room.folder)) {
    const untidy = untidied(room.read(name));
    const textDocument = { uri: client.uri(name) };
    client.open(name, untidy);
    const whole = await client.ask(DocumentFormattingRequest.type, { textDocument, options });
    const tidy = edited(untidy, whole);
    assert.equal(tidy, (await run(t, ["fmt", "-"], { folder: room.folder, input: untidy })).stdout, name);
    const known = new Set(whole.map((edit) => JSON.stringify(edit)));
    for (const range of stretches(untidy)) {
      const edits = await client.ask(DocumentRangeFormattingRequest.type, { textDocument, range, options });
      const where = `${name}, ${JSON.stringify(range)}`;
      for (const edit of edits) {
        assert.ok(known.has(JSON.stringify(edit)), `${where}: the whole would not do ${JSON.stringify(edit)}`);
        assert.ok(edit.range.end.line >= range.start.line && edit.range.start.line <= range.end.line, `${where}: ${JSON.stringify(edit)}`);
      }
      assert.equal(words(edited(untidy, edits)), words(untidy), where);
      some += edits.length;
    }
    // The whole as a stretch is the whole.
    const all = stretches(untidy)[0];
    assert.deepEqual(await client.ask(DocumentRangeFormattingRequest.type, { textDocument, range: all, options }), whole, name);
  }
  assert.ok(some > 500, `${some} edits`);
});

test("laid out by stretches, one after the other, an example comes to what `fmt` makes of it", async (t) => {
  const room = workroom(t);
  const client = await editor(t, room);
  for (const name of ["cream.still", "acid-gel-batches.still", "materials.still"]) {
    const untidy = untidied(room.read(name));
    const textDocument = { uri: client.uri(name) };
    client.open(name, untidy);
    let text = untidy;
    // From the end, so that what is laid out does not move what is not yet.
    for (let first = Math.floor(untidy.split("\n").length / 9) * 9; first >= 0; first -= 9) {
      const last = Math.min(first + 9, text.split("\n").length - 1);
      const range = { start: { line: first, character: 0 }, end: { line: last, character: text.split("\n")[last].length } };
      const edits = await client.ask(DocumentRangeFormattingRequest.type, { textDocument, range, options });
      text = edited(text, edits);
      client.change(name, text);
    }
    assert.equal(text, (await run(t, ["fmt", "-"], { folder: room.folder, input: untidy })).stdout, name);
  }
});

test("a document that is laid out is left as it is", async (t) => {
  const room = workroom(t);
  const client = await editor(t, room);
  for (const name of stillFiles(room.folder)) {
    client.open(name);
    const edits = await client.ask(DocumentFormattingRequest.type, { textDocument: { uri: client.uri(name) }, options });
    assert.deepEqual(edits, [], name);
  }
});
