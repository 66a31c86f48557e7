// What the other tests stand on, itself held: each helper passes where it should, and fails where it should.

import assert from "node:assert/strict";
import fs from "node:fs";
import http from "node:http";
import { after, test } from "node:test";
import { LOOKS, WIDTHS, accessible, close, fits, looks, printed, shot, visit } from "./common/browser.mjs";
import { open } from "./common/open.mjs";
import { run, stillFiles, workroom } from "./common/program.mjs";

after(close);

const page = (body, head = "") =>
  `<!doctype html><html lang="en"><head><meta charset="utf-8"><title>A page</title><meta name="viewport" content="width=device-width">${head}</head><body><main><h1>A page</h1>${body}</main></body></html>`;

/** A page on the disk. */
const onDisk = (t, body, head) => {
  const room = workroom(t, { examples: false, files: { "page.html": page(body, head) } });
  return room.path("page.html");
};

const quiet = async () => {};

test("the program answers, in a copy of the examples that is gone afterwards", async (t) => {
  let folder;
  await t.test("inside", async (inner) => {
    const room = workroom(inner, { files: { "mine/a.still": "let a = 3\n" } });
    folder = room.folder;
    assert.ok(stillFiles(folder).includes("mine/a.still") && stillFiles(folder).includes("acid-gel.still"));
    assert.match((await run(inner, ["--version"])).stdout, /^stillroom \d/);
    assert.deepEqual(await run(inner, ["check", "acid-gel.still"], { folder }).then(({ code }) => code), 0);
    assert.equal((await run(inner, ["check", "gone.still"], { folder })).code, 2);
    assert.equal((await run(inner, ["fmt", "-"], { input: "let  a = 3\n" })).stdout, "let a = 3\n");
  });
  assert.ok(!fs.existsSync(folder));
});

test("a workroom in git is committed whole", (t) => {
  const room = workroom(t, { git: true });
  assert.equal(room.git("status", "--porcelain"), "");
  assert.match(room.git("log", "--oneline"), /As it was/);
});

test("a page that is quiet passes, from disk and from a server", async (t) => {
  await visit(onDisk(t, "<p>Nothing</p>", "<script>console.log('said')</script>"), quiet);
  const server = http.createServer((_, answer) => answer.setHeader("Content-Type", "text/html").end(page("<img alt='' src='data:image/gif;base64,R0lGODlhAQABAAAAACw='>", "<link rel=icon href=data:,>")));
  await new Promise((ready) => server.listen(0, "127.0.0.1", ready));
  t.after(() => server.close());
  await visit(`http://127.0.0.1:${server.address().port}/`, quiet);
});

test("an error on the console fails", async (t) => {
  const address = onDisk(t, "", "<script>console.error('the curve is gone')</script>");
  await assert.rejects(visit(address, quiet), /the curve is gone/);
  await visit(address, quiet, { expected: [/curve is gone/] });
});

test("an error in a script fails", async (t) => {
  await assert.rejects(visit(onDisk(t, "", "<script>nobody.there()</script>"), quiet), /nobody is not defined/);
});

test("a request to elsewhere fails, by an element or by a script", async (t) => {
  await assert.rejects(visit(onDisk(t, "<img alt='' src='http://elsewhere.example/a.png'>"), quiet), /asked of elsewhere: http:\/\/elsewhere.example\/a.png/);
  const script = "<script>fetch('http://127.0.0.1:9/a').catch(() => {})</script>";
  await assert.rejects(visit(onDisk(t, "", script), (opened) => opened.waitForTimeout(200)), /asked of elsewhere: http:\/\/127/);
});

test("the accessibility checker finds what is serious, and passes what is not", async (t) => {
  await visit(onDisk(t, "<button>Save</button>"), (opened) => accessible(opened));
  await assert.rejects(visit(onDisk(t, "<button></button>"), (opened) => accessible(opened)), /button-name/);
  const pale = "<p style='color:#ccc;background:#fff'>Take care first</p>";
  await assert.rejects(visit(onDisk(t, pale), (opened) => accessible(opened)), /color-contrast/);
});

test("the checker looks at a page whose policy allows no script of its own", async (t) => {
  const strict = "<meta http-equiv='Content-Security-Policy' content=\"default-src 'none'; script-src 'none'\">";
  await assert.rejects(visit(onDisk(t, "<button></button>", strict), (opened) => accessible(opened)), /button-name/);
});

test("a page that is wider than what is seen fails", async (t) => {
  await assert.rejects(visit(onDisk(t, "<div style='width:2000px'>wide</div>"), (opened) => fits(opened), { width: "tablet" }), /2\d{3} wide and 820/);
});

test("every look has its width and its colours, and leaves a picture of it", async (t) => {
  assert.equal(LOOKS.length, 6);
  const seen = [];
  await looks(onDisk(t, "<p>Seen</p>", "<style>:root{color-scheme:light dark}</style>"), "common", async (opened) => {
    seen.push(await opened.evaluate(() => `${innerWidth}x${innerHeight} ${matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light"}`));
  });
  assert.deepEqual(seen, LOOKS.map(({ width, scheme }) => `${WIDTHS[width].width}x${WIDTHS[width].height} ${scheme}`));
  await visit(onDisk(t, "<p>Seen</p>"), async (opened) => {
    const picture = fs.readFileSync(await shot(opened, "common-desk-light"));
    assert.equal(picture.readUInt32BE(16), 1280, "the width that stands in the head of the picture");
  });
});

test("the sheets of paper are counted", async (t) => {
  const three = "<p style='break-after:page'>one</p><p style='break-after:page'>two</p><p>three</p>";
  await visit(onDisk(t, three), async (opened) => assert.equal((await printed(opened, "common")).sheets, 3));
});

test("the address of `open` is read, and the end of its input ends it", async (t) => {
  const told = "console.log('Open http://127.0.0.1:4/?token=abc'); process.stdin.on('end', () => process.exit(0)).resume();";
  const opened = await open(t, ".", { command: [process.execPath, "-e", told] });
  assert.equal(opened.address, "http://127.0.0.1:4/?token=abc");
  assert.equal(opened.origin, "http://127.0.0.1:4");
  assert.equal(await opened.stop(), 0);
  await assert.rejects(open(t, ".", { command: [process.execPath, "-e", "console.error('no folder'); process.exit(2)"] }), /ended with 2 .*\n?.*no folder/s);
});
