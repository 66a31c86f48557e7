// `stillroom open`: started, its address read, ended.

import { start } from "./program.mjs";

/**
 * Starts `stillroom open FOLDER` for the test `t` and waits for the one line with its address. `words` are more options,
 * `command` is another program in its place.
 */
export async function open(t, folder, { words = [], command } = {}) {
  const started = start(t, ["open", folder, "--no-browser", "--until-eof", ...words], { folder, command });
  const address = await new Promise((resolve, reject) => {
    const look = () => {
      const found = /^Open (http:\/\/\S+)$/m.exec(started.told.stdout);
      if (found) resolve(found[1]);
    };
    started.child.stdout.on("data", look);
    started.ended.then(({ code }) =>
      reject(new Error(`\`open\` ended with ${code} before it told its address.\n${started.told.stdout}${started.told.stderr}`)),
    );
    setTimeout(() => reject(new Error(`\`open\` told no address in 30 s.\n${started.told.stdout}${started.told.stderr}`)), 30_000).unref();
  });
  return {
    ...started,
    /** The address as it is printed, with the token. */
    address,
    /** Where the pages are: `http://127.0.0.1:PORT`. */
    origin: new URL(address).origin,
    /** Closes its standard input, as a terminal that goes away does, and waits for the end. */
    async stop() {
      started.child.stdin.end();
      return (await started.ended).code;
    },
  };
}
