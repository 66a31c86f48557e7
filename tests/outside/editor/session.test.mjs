// A session over the real protocol, by the client library: faults as one types, fixes, the sheet beside the text.

import assert from "node:assert/strict";
import { test } from "node:test";
import { at, edited, editor, protocol } from "../common/editor.mjs";
import { run, stillFiles, workroom } from "../common/program.mjs";

const { CodeActionRequest, CodeLensRequest, CodeLensResolveRequest, ExecuteCommandRequest } = protocol;

const FORMULA = `formula gel {
  title "Gel – for hands ✋"
  makes 100 g
  scale 0.01 g
  phase A {
    water q.s.
    glycerin 0,5 %
  }
}
`;
const SOUND = `use shelf/all\n\n${FORMULA.replace("0,5", "5")}`;
const codes = (faults) => faults.map(({ code }) => code);

for (const encoding of ["utf-16", "utf-8"]) {
  test(`faults come with the version of the text, in the units of a client of ${encoding}`, async (t) => {
    const room = workroom(t, { examples: false, files: { "gel.still": SOUND } });
    const client = await editor(t, room, { encoding });
    assert.equal(client.capabilities.positionEncoding, encoding);
    client.open("gel.still");
    const before = codes(await client.faults("gel.still"));
    assert.ok(!before.includes("decimal-comma"), `${before}`);
    // One letter, behind text outside ASCII on the same line.
    const line = '  title "✋🧴 é" because';
    const broken = SOUND.replace('title "Gel – for hands ✋"', line.trim());
    client.change("gel.still", broken);
    const [fault] = (await client.faults("gel.still")).filter(({ range }) => range.start.line === at(SOUND, "title").line);
    assert.ok(fault, "the line is at fault");
    const text = broken.split("\n")[fault.range.start.line];
    const width = encoding === "utf-8" ? Buffer.byteLength(text) : text.length;
    assert.ok(fault.range.end.character <= width && fault.range.start.character >= at(text, "because", { encoding }).character, JSON.stringify(fault.range));
    // By a range, in the client's units: the fault goes as it came.
    const start = at(broken, " because", { encoding });
    client.change("gel.still", { range: { start, end: { line: start.line, character: start.character + " because".length } }, text: "" });
    assert.deepEqual(codes(await client.faults("gel.still")), before);
    assert.equal(await client.end(), 0);
  });
}

test("a sure fix is offered, and carried out it mends the fault", async (t) => {
  const room = workroom(t, { examples: false, files: { "gel.still": `use shelf/all\n\n${FORMULA}` } });
  const client = await editor(t, room);
  const text = room.read("gel.still");
  client.open("gel.still");
  const fault = (await client.faults("gel.still")).find(({ code }) => code === "decimal-comma");
  const actions = await client.ask(CodeActionRequest.type, {
    textDocument: { uri: client.uri("gel.still") },
    range: fault.range,
    context: { diagnostics: [fault] },
  });
  const mend = actions.find(({ kind, edit }) => kind?.startsWith("quickfix") && edit);
  const changes = mend.edit.changes?.[client.uri("gel.still")] ?? mend.edit.documentChanges.flatMap(({ edits }) => edits);
  const mended = edited(text, changes);
  assert.equal(mended, text.replace("0,5", "0.5"));
  client.change("gel.still", mended);
  assert.ok(!codes(await client.faults("gel.still")).includes("decimal-comma"));
});

test("a fault of judgement can be allowed where it is, with the place for a reason, and is gone when the reason stands", async (t) => {
  const room = workroom(t);
  const client = await editor(t, room);
  const name = "acid-gel.still";
  const text = room.read(name).replace(/ {2}allow below-scale because ".*"/, "");
  client.open(name, text);
  const [fault] = (await client.faults(name)).filter(({ code }) => code === "below-scale");
  const asked = (diagnostic) => client.ask(CodeActionRequest.type, { textDocument: { uri: client.uri(name) }, range: diagnostic.range, context: { diagnostics: [diagnostic] } });
  const allow = (await asked(fault)).find(({ title }) => title.startsWith("Allow `below-scale`"));
  assert.equal(allow.isPreferred, false, "never by itself");
  const allowed = edited(text, allow.edit.changes[client.uri(name)]);
  assert.match(allowed, /allow below-scale because "…"/);
  // Without a reason, the allowance is the fault.
  client.change(name, allowed);
  assert.ok(codes(await client.faults(name)).includes("allow-no-reason"));
  client.change(name, allowed.replace("…", "0.01 g off is still within what the supplier says"));
  const left = codes(await client.faults(name));
  assert.ok(!left.includes("below-scale") && !left.includes("allow-no-reason"), `${left}`);
});

test("all that is sure is mended at once", async (t) => {
  const room = workroom(t, { examples: false, files: { "gel.still": `use shelf/all\n\n${FORMULA.replace("glycerin 0,5 %", "glycerin 0,5 %\n    betaine 1,5 %")}` } });
  const client = await editor(t, room);
  const text = room.read("gel.still");
  client.open("gel.still");
  await client.faults("gel.still");
  const range = { start: { line: 0, character: 0 }, end: { line: 0, character: 0 } };
  const [all] = await client.ask(CodeActionRequest.type, { textDocument: { uri: client.uri("gel.still") }, range, context: { diagnostics: [], only: ["source.fixAll"] } });
  assert.equal(edited(text, all.edit.changes[client.uri("gel.still")]), text.replace("0,5", "0.5").replace("1,5", "1.5"));
});

test("unsaved text counts for the files that use it", async (t) => {
  const used = "material syrup {\n  contains water 100 %\n}\n";
  const using = 'use "used.still"\n\nformula f {\n  makes 100 g\n  phase A {\n    syrup q.s.\n  }\n}\n';
  const room = workroom(t, { examples: false, files: { "used.still": used, "using.still": using } });
  const client = await editor(t, room);
  client.open("used.still");
  client.open("using.still");
  assert.ok(!codes(await client.faults("using.still")).includes("name-unknown"));
  client.change("used.still", used.replace("syrup", "sirup"));
  assert.ok(await client.faults("using.still", undefined, (faults) => codes(faults).includes("name-unknown")));
  assert.equal(room.read("used.still"), used, "nothing is written");
  client.change("used.still", used);
  assert.ok(await client.faults("using.still", undefined, (faults) => !codes(faults).includes("name-unknown")));
});

test("what is told of every example is what the command tells", async (t) => {
  const room = workroom(t);
  const client = await editor(t, room);
  // The editor has the whole folder open, and so has the command.
  const command = JSON.parse((await run(t, ["check", ".", "--format", "json"], { folder: room.folder })).stdout);
  let count = 0;
  for (const name of stillFiles(room.folder)) {
    client.open(name);
    const found = (await client.faults(name)).map(({ code, range }) => `${range.start.line + 1} ${code}`).sort();
    const own = command.diagnostics.filter(({ file }) => file.replace(/^\.\//, "") === name);
    assert.deepEqual(found, own.map(({ line, code }) => `${line} ${code}`).sort(), name);
    count += found.length;
  }
  assert.ok(count > 0);
});

test("above a formula stand its figures, and its sheet is shown beside the text", async (t) => {
  const room = workroom(t);
  const client = await editor(t, room);
  client.open("acid-gel.still");
  await client.faults("acid-gel.still");
  const uri = client.uri("acid-gel.still");
  const lenses = await client.ask(CodeLensRequest.type, { textDocument: { uri } });
  const titles = [];
  for (const lens of lenses) titles.push((lens.command ? lens : await client.ask(CodeLensResolveRequest.type, lens)).command?.title);
  assert.ok(titles.some((title) => /pH/.test(title ?? "")), JSON.stringify(titles));
  const sheet = await client.ask(ExecuteCommandRequest.type, { command: "stillroom.showSheet", arguments: [{ uri, formula: "acid-gel" }] });
  assert.match(sheet.markdown, /Mandelic gel/);
  assert.equal(sheet.markdown.trim(), (await run(t, ["sheet", "acid-gel.still", "--formula", "acid-gel"], { folder: room.folder })).stdout.trim());
  await assert.rejects(client.ask(ExecuteCommandRequest.type, { command: "stillroom.showSheet", arguments: [{ uri, formula: "nobody" }] }));
});

test("a message that is no request of the protocol is refused, and the server goes on", async (t) => {
  const room = workroom(t, { examples: false, files: { "gel.still": SOUND } });
  const client = await editor(t, room);
  await assert.rejects(client.connection.sendRequest("stillroom/nothing", {}));
  client.open("gel.still");
  await client.faults("gel.still");
  assert.equal(await client.end(), 0);
});
