// The program, and a workroom of one's own to run it in: a fresh copy of the examples.

import { execFileSync, spawn } from "node:child_process";
import fs from "node:fs";
import os from "node:os";
import path from "node:path";
import { fileURLToPath } from "node:url";

/** The folder of the project. */
export const ROOT = path.resolve(fileURLToPath(new URL("../../..", import.meta.url)));
/** What the tests leave to be looked at. */
export const LEFT = path.join(ROOT, "target", "outside");

/** Where the built program is. */
export function program() {
  const built = process.env.STILLROOM_PROGRAM ?? path.join(ROOT, "target", "debug", "stillroom");
  if (!fs.existsSync(built)) throw new Error(`The program is not built: there is no ${built}. tests/outside/run builds it.`);
  return path.resolve(built);
}

/** Names of the files of `folder` and of what is in it that end in `.still`, as `a/b.still`, in order. */
export function stillFiles(folder) {
  return fs
    .readdirSync(folder, { recursive: true })
    .map((name) => name.split(path.sep).join("/"))
    .filter((name) => name.endsWith(".still"))
    .sort();
}

/**
 * A temporary folder that is gone when the test `t` has ended: the examples, and over them the `files` that are given as
 * `{name: text}`. With `git`, it is a repository and all of it is committed; with `examples: false`, only the files.
 */
export function workroom(t, { files = {}, git = false, examples = true } = {}) {
  const folder = fs.realpathSync(fs.mkdtempSync(path.join(os.tmpdir(), "workroom-")));
  t.after(() => fs.rmSync(folder, { recursive: true, force: true, maxRetries: 5 }));
  if (examples) fs.cpSync(path.join(ROOT, "examples"), folder, { recursive: true });
  const room = {
    folder,
    path: (name) => path.join(folder, name),
    read: (name) => fs.readFileSync(path.join(folder, name), "utf8"),
    write(name, text) {
      fs.mkdirSync(path.dirname(path.join(folder, name)), { recursive: true });
      fs.writeFileSync(path.join(folder, name), text);
    },
    git: (...words) =>
      execFileSync("git", ["-c", "user.name=A maker", "-c", "user.email=maker@workroom.example", ...words], {
        cwd: folder,
        encoding: "utf8",
      }),
  };
  for (const [name, text] of Object.entries(files)) room.write(name, text);
  if (git) {
    room.git("init", "--quiet", "--initial-branch=main");
    // So that what the program itself commits has somebody's name, whatever the machine is set to.
    room.git("config", "user.name", "A maker");
    room.git("config", "user.email", "maker@workroom.example");
    room.git("add", "--all");
    room.git("commit", "--quiet", "--message", "As it was");
  }
  return room;
}

/** Starts the program; it is ended with the test `t` if it has not ended by then. */
export function start(t, words, { folder, command = [program()] } = {}) {
  const [file, ...before] = command;
  const child = spawn(file, [...before, ...words], { cwd: folder, stdio: ["pipe", "pipe", "pipe"] });
  const ended = new Promise((resolve) => child.on("close", (code, signal) => resolve({ code, signal })));
  const told = { stdout: "", stderr: "" };
  for (const stream of ["stdout", "stderr"]) {
    child[stream].setEncoding("utf8");
    child[stream].on("data", (text) => (told[stream] += text));
  }
  // A program that has ended takes no more input; what the test then sees is the end.
  child.stdin.on("error", () => {});
  t.after(async () => {
    if (child.exitCode === null && child.signalCode === null) child.kill("SIGKILL");
    await ended;
  });
  return { child, ended, told };
}

/** Runs the program to its end: its exit code and what it printed. */
export async function run(t, words, { folder, input = "" } = {}) {
  const started = start(t, words, { folder });
  started.child.stdin.end(input);
  const { code } = await started.ended;
  return { code, ...started.told };
}
