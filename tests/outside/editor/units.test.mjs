// Text outside ASCII before what is asked for, for clients that count in UTF-16 and in UTF-8.

import assert from "node:assert/strict";
import { test } from "node:test";
import { at, edited, editor, protocol } from "../common/editor.mjs";
import { run, workroom } from "../common/program.mjs";

const {
  CompletionRequest,
  DefinitionRequest,
  DocumentFormattingRequest,
  DocumentHighlightRequest,
  HoverRequest,
  InlayHintRequest,
  ReferencesRequest,
  RenameRequest,
  SemanticTokensRequest,
} = protocol;

const GEL = `use shelf/all

material syrup like glycerin {
  note "Σιρόπι 🧪"
}
formula gel {
  title "Γέλη χεριών ✋🏽 – 👩‍🔬"
  makes 100 g
  scale 0.01 g
  phase A "Νερό 💧" { water q.s. }
  phase B "Γέλη 🧴" { syrup 5 % because "μαλακώνει 🌿" } # 🌱 ό,τι μένει
  steps {
    "Ζυγίστε 🧴👩‍🔬 {syrup} σε {water} 💧."
  }
}
`;

/** How many units of the client a text is. */
const units = (text, encoding) => (encoding === "utf-8" ? Buffer.byteLength(text) : text.length);

for (const encoding of ["utf-16", "utf-8"]) {
  const open = async (t) => {
    const room = workroom(t, { examples: false, files: { "gel.still": GEL } });
    const client = await editor(t, room, { encoding });
    assert.equal(client.capabilities.positionEncoding, encoding);
    client.open("gel.still");
    await client.faults("gel.still");
    const textDocument = { uri: client.uri("gel.still") };
    /** What stands at a range. */
    const part = ({ start, end }) => {
      assert.equal(start.line, end.line);
      const line = GEL.split("\n")[start.line];
      if (encoding === "utf-16") return line.slice(start.character, end.character);
      return Buffer.from(line).subarray(start.character, end.character).toString("utf8");
    };
    return { client, textDocument, part, place: (what, options) => ({ textDocument, position: at(GEL, what, { encoding, ...options }) }) };
  };

  test(`${encoding}: a name behind Greek and emoji is shown, found, marked and opened`, async (t) => {
    const { client, part, place } = await open(t);
    for (const where of [place("syrup 5"), place("{syrup}", { after: 3 })]) {
      const shown = await client.ask(HoverRequest.type, where);
      assert.equal(part(shown.range), "syrup");
      assert.match(shown.contents.value, /5\.00 g in a batch of 100/);
      const [declared] = await client.ask(DefinitionRequest.type, where);
      assert.deepEqual(declared.range.start, at(GEL, "syrup", { encoding }));
      const found = await client.ask(ReferencesRequest.type, { ...where, context: { includeDeclaration: true } });
      assert.deepEqual(found.map(({ range }) => part(range)), ["syrup", "syrup", "syrup"]);
      const marked = await client.ask(DocumentHighlightRequest.type, where);
      assert.deepEqual(marked.map(({ range }) => part(range)), ["syrup", "syrup", "syrup"]);
    }
  });

  test(`${encoding}: a rename behind Greek and emoji changes the name and nothing beside it`, async (t) => {
    const { client, textDocument, place } = await open(t);
    const { changes } = await client.ask(RenameRequest.type, { ...place("{syrup}", { after: 1 }), newName: "thick-syrup" });
    assert.equal(edited(GEL, changes[textDocument.uri], { encoding }), GEL.replaceAll("syrup", "thick-syrup"));
  });

  test(`${encoding}: grams stand at the end of the amount`, async (t) => {
    const { client, textDocument } = await open(t);
    const range = { start: { line: 0, character: 0 }, end: { line: 30, character: 0 } };
    const found = await client.ask(InlayHintRequest.type, { textDocument, range });
    assert.deepEqual(found.map(({ position }) => position), [at(GEL, "q.s.", { after: 4, encoding }), at(GEL, "5 %", { after: 3, encoding })]);
    assert.deepEqual(found.map(({ label }) => label.split(" ").at(-2)), ["95.00", "5.00"]);
  });

  test(`${encoding}: what is proposed behind emoji replaces what was typed and no more`, async (t) => {
    const { client, textDocument } = await open(t);
    const typed = GEL.replace("{water} 💧", "{wat} 💧");
    client.change("gel.still", typed);
    const { items } = await client.ask(CompletionRequest.type, { textDocument, position: at(typed, "{wat}", { after: 4, encoding }) });
    const water = items.find(({ label }) => label === "water");
    assert.equal(edited(typed, [water.textEdit], { encoding }), GEL);
  });

  test(`${encoding}: each word has its length in the client's units, and edits by ranges arrive`, async (t) => {
    const { client, textDocument } = await open(t);
    const { tokenTypes } = client.capabilities.semanticTokensProvider.legend;
    const { data } = await client.ask(SemanticTokensRequest.type, { textDocument });
    let [line, character] = [0, 0];
    let texts = 0;
    for (let index = 0; index < data.length; index += 5) {
      character = data[index] === 0 ? character + data[index + 1] : data[index + 1];
      line += data[index];
      const text = GEL.split("\n")[line];
      const whole = encoding === "utf-8" ? Buffer.from(text) : text;
      const word = whole.slice(character, character + data[index + 2]).toString();
      assert.ok(!word.includes("\ufffd"), word);
      if (tokenTypes[data[index + 3]] === "variable") assert.match(word, /^(syrup|water|glycerin)$/);
      texts += word === '"μαλακώνει 🌿"' || word === '"Γέλη 🧴"' ? 1 : 0;
    }
    assert.equal(texts, 2);
    // Letter by letter over an emoji, as an editor sends it.
    const start = at(GEL, "🧴", { encoding });
    const end = { line: start.line, character: start.character + units("🧴", encoding) };
    client.change("gel.still", { range: { start, end }, text: "✋🏽" }, { range: { start, end: start }, text: "ω" });
    const now = GEL.replace("🧴", "ω✋🏽");
    const layout = await client.ask(DocumentFormattingRequest.type, { textDocument, options: { tabSize: 2, insertSpaces: true } });
    const [there, fresh] = [edited(now, layout, { encoding }), await laidOut(t, now)];
    assert.equal(there, fresh);
  });
}

/** A text as `fmt` lays it out. */
async function laidOut(t, text) {
  return (await run(t, ["fmt", "-"], { input: text })).stdout;
}
