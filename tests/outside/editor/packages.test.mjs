// What stands under editors/: the extension is packaged and looked into, and editors that are here start the server.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import fs from "node:fs";
import { createRequire } from "node:module";
import path from "node:path";
import { test } from "node:test";
import { LEFT, ROOT } from "../common/program.mjs";

const EXTENSION = path.join(ROOT, "editors/vscode");

/** The files in a package, each with its text. */
function unpacked(file) {
  const yauzl = createRequire(path.join(EXTENSION, "package.json"))("yauzl");
  return new Promise((resolve, reject) => {
    const files = new Map();
    yauzl.open(file, { lazyEntries: true }, (fault, zip) => {
      if (fault) return reject(fault);
      zip.on("error", reject);
      zip.on("end", () => resolve(files));
      zip.on("entry", (entry) =>
        zip.openReadStream(entry, (unread, stream) => {
          if (unread) return reject(unread);
          const parts = [];
          stream.on("data", (part) => parts.push(part));
          stream.on("end", () => {
            files.set(entry.fileName, Buffer.concat(parts).toString("utf8"));
            zip.readEntry();
          });
        }),
      );
      zip.readEntry();
    });
  });
}

test("the extension is packaged without a network, with all that it needs", async () => {
  execFileSync("npm", ["ci", "--ignore-scripts", "--loglevel=error"], { cwd: EXTENSION });
  fs.mkdirSync(LEFT, { recursive: true });
  const file = path.join(LEFT, "stillroom.vsix");
  // A proxy that is not there: whoever asked for anything would fail.
  const env = { ...process.env, HTTPS_PROXY: "http://127.0.0.1:9", HTTP_PROXY: "http://127.0.0.1:9", npm_config_offline: "true" };
  execFileSync("npm", ["run", "--silent", "package", "--", "--out", file], { cwd: EXTENSION, env, stdio: "pipe" });
  const files = await unpacked(file);
  const grammar = fs.readFileSync(path.join(ROOT, "grammar/stillroom.tmLanguage.json"), "utf8");
  assert.equal(files.get("extension/syntaxes/stillroom.tmLanguage.json"), grammar);
  const manifest = JSON.parse(files.get("extension/package.json"));
  const { languages, grammars, snippets } = manifest.contributes;
  for (const named of [manifest.main, languages[0].configuration, grammars[0].path, snippets[0].path]) {
    assert.ok(files.has(path.posix.join("extension", named)), `${named} is in the package`);
  }
  assert.ok(files.has("extension/node_modules/vscode-languageclient/package.json"), "and the client of the protocol");
  const foreign = [...files.keys()].filter((name) => /tests?\/|@vscode\/vsce/.test(name) && !name.includes("node_modules/"));
  assert.deepEqual(foreign, []);
});
