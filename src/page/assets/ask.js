// What a page asks of the program, and what it says where there is no answer.

/** A request that the program refused, with the sentence for it. */
export class Refused extends Error {
  constructor(status, answer, words) {
    super(words);
    this.status = status;
    this.answer = answer;
  }
}

/** Sends JSON, and gives the answer back. A refusal is thrown as `Refused`; one that was aborted as it is. */
export async function ask(address, body, { signal, version } = {}) {
  const headers = { 'Content-Type': 'application/json' };
  if (version) headers['If-Match'] = version;
  let response;
  try {
    response = await fetch(address, { method: 'POST', headers, body: JSON.stringify(body), signal, credentials: 'same-origin' });
  } catch (error) {
    if (error.name === 'AbortError') throw error;
    throw new Refused(0, null, 'The program does not answer. What you typed is kept here: start it again, and go on.');
  }
  const isJson = (response.headers.get('Content-Type') ?? '').includes('json');
  let answer = null;
  try {
    answer = isJson ? await response.json() : null;
  } catch (error) {
    if (error.name === 'AbortError') throw error;
  }
  if (response.ok) return answer;
  throw new Refused(response.status, answer, answer?.error ?? words(response.status));
}

function words(status) {
  switch (status) {
    case 403:
      return 'The program was started anew and does not know this page. Open it by the address that it printed; what you typed is kept here.';
    case 404:
      return 'The file is no longer there. What you typed is kept here.';
    case 413:
      return 'That is more text than the program takes: a file may have 16 MB.';
    case 429:
      return 'That was too much at once. Wait a moment, and try again.';
    default:
      return `The program could not do that (${status}). What you typed is kept here.`;
  }
}

/** Text in which backticks mark what is written in a file, as nodes. */
export function prose(text) {
  const pieces = document.createDocumentFragment();
  const parts = text.split('`');
  const isEven = parts.length % 2 === 1;
  parts.forEach((part, at) => {
    if (!isEven) {
      pieces.append(at > 0 ? `\`${shown(part)}` : shown(part));
    } else if (at % 2 === 1) {
      const code = document.createElement('code');
      code.textContent = shown(part);
      pieces.append(code);
    } else {
      pieces.append(shown(part));
    }
  });
  return pieces;
}

/** What nobody would see is shown: controls, controls of direction, letters of no width. */
export function shown(text) {
  return text.replace(/[\p{Cc}\u061c\u200b\u200e\u200f\u2028\u2029\u202a-\u202e\u2060-\u206f\ufeff\u00ad]/gu, (letter) => {
    if (letter === '\n') return '\\n';
    if (letter === '\t') return '\\t';
    return `\\u{${letter.codePointAt(0).toString(16)}}`;
  });
}

/** An element with its class and what is in it. */
export function element(name, className, ...within) {
  const made = document.createElement(name);
  if (className) made.className = className;
  made.append(...within);
  return made;
}
