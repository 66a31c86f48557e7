// A file that changed since it was read: the lines that differ are shown, and both texts where that is asked for. The maker
// decides, and nothing is lost either way.

import { element, shown } from './ask.js';

/** The question that stands where two texts meet. */
export class Conflict {
  #theirs = null;
  #mine = '';

  constructor(dialog, { keepMine, takeTheirs }) {
    this.dialog = dialog;
    this.both = dialog.querySelector('.both');
    this.differing = dialog.querySelector('.differing');
    const does = (name, act) => dialog.querySelector(`[data-does=${name}]`).addEventListener('click', act);
    does('mine', () => this.#end(() => keepMine(this.#theirs)));
    does('theirs', () => this.#end(() => takeTheirs(this.#theirs)));
    does('both', () => this.#look());
    does('nothing', () => this.dialog.close());
  }

  /** Asks. `theirs` is the text of the file now, with its version. */
  ask(mine, theirs) {
    this.#mine = mine;
    this.#theirs = theirs;
    this.both.hidden = true;
    this.both.replaceChildren();
    this.#differ();
    if (!this.dialog.open) this.dialog.showModal();
  }

  #end(act) {
    this.dialog.close();
    act();
  }

  /** The lines that differ, each stretch with what was typed and what is in the file. */
  #differ() {
    const [mine, theirs] = [this.#mine.split('\n'), this.#theirs.text.split('\n')];
    const all = stretches(mine, theirs);
    this.differing.replaceChildren(...all.slice(0, MOST).flatMap((one) => [
      element('h3', '', where(one)),
      element('dl', '',
        element('dt', '', 'What you typed'), element('dd', '', ...lines(one.mine, one.theirs, 'ins')),
        element('dt', '', 'In the file'), element('dd', '', ...lines(one.theirs, one.mine, 'del'))),
    ]), ...(all.length > MOST ? [element('p', '', `And in ${all.length - MOST} more places: “Look at both” shows them all.`)] : []));
    this.differing.tabIndex = 0;
    this.differing.setAttribute('role', 'region');
    this.differing.setAttribute('aria-label', 'Lines that differ');
  }

  #look() {
    const [mine, theirs] = [this.#mine.split('\n'), this.#theirs.text.split('\n')];
    const [keptMine, keptTheirs] = inBoth(mine, theirs);
    this.both.replaceChildren(
      side('What you typed', mine, keptMine, 'ins'),
      side('What is in the file', theirs, keptTheirs, 'del'),
    );
    this.both.hidden = false;
  }
}

/** So many stretches are shown one by one. */
const MOST = 40;

/** The stretches in which two texts differ: where each begins, and its lines in both. */
function stretches(mine, theirs) {
  const [keptMine, keptTheirs] = inBoth(mine, theirs);
  const all = [];
  for (let at = 0, to = 0; at < mine.length || to < theirs.length;) {
    if (keptMine[at] && keptTheirs[to]) {
      at += 1;
      to += 1;
      continue;
    }
    const one = { line: at + 1, other: to + 1, mine: [], theirs: [] };
    while (at < mine.length && !keptMine[at]) one.mine.push(mine[at++]);
    while (to < theirs.length && !keptTheirs[to]) one.theirs.push(theirs[to++]);
    all.push(one);
  }
  return all;
}

function where({ line, other, mine, theirs }) {
  const span = (from, count) => (count > 1 ? `lines ${from} to ${from + count - 1}` : `line ${from}`);
  const words = mine.length > 0 ? span(line, mine.length) : `before line ${line}`;
  const there = theirs.length > 0 ? span(other, theirs.length) : `before line ${other}`;
  const upper = words[0].toUpperCase() + words.slice(1);
  return words === there ? upper : `${upper}; in the file ${there}`;
}

/** The lines of a stretch; of as many lines on both sides only what differs within each is marked. */
function lines(all, others, mark) {
  if (all.length === 0) return [element('span', 'none', 'nothing')];
  const written = (line) => shown(line).replace(/\\t/g, '\t');
  return all.flatMap((line, at) => {
    const end = at > 0 ? ['\n'] : [];
    if (line === '') return [...end, element('span', 'none', 'an empty line')];
    const [before, own, after] = all.length === others.length ? within(line, others[at]) : ['', line, ''];
    return [...end, written(before), ...(own === '' ? [] : [element(mark, '', written(own))]), written(after)];
  });
}

/** A line cut into what begins as the other does, what differs, and what ends as the other does. */
function within(line, other) {
  const [own, its] = [[...line], [...other]];
  const least = Math.min(own.length, its.length);
  let begins = 0;
  while (begins < least && own[begins] === its[begins]) begins += 1;
  let ends = 0;
  while (ends < least - begins && own[own.length - 1 - ends] === its[its.length - 1 - ends]) ends += 1;
  return [own.slice(0, begins), own.slice(begins, own.length - ends), own.slice(own.length - ends)].map((part) => part.join(''));
}

function side(title, lines, kept, mark) {
  const pre = element('pre', 'side');
  pre.tabIndex = 0;
  pre.setAttribute('role', 'region');
  pre.setAttribute('aria-label', title);
  lines.forEach((line, at) => {
    const words = shown(line).replace(/\\t/g, '\t');
    pre.append(kept[at] ? words : element(mark, '', words === '' ? ' ' : words), '\n');
  });
  return element('div', '', element('h3', '', title), pre);
}

/** Of each line whether it stands in both, by the longest run of lines that both have in this order. */
function inBoth(one, other) {
  const [keptOne, keptOther] = [one.map(() => false), other.map(() => false)];
  let begins = 0;
  while (begins < Math.min(one.length, other.length) && one[begins] === other[begins]) begins += 1;
  let ends = 0;
  while (ends < Math.min(one.length, other.length) - begins && one[one.length - 1 - ends] === other[other.length - 1 - ends]) ends += 1;
  for (let at = 0; at < begins; at += 1) keptOne[at] = keptOther[at] = true;
  for (let at = 1; at <= ends; at += 1) keptOne[one.length - at] = keptOther[other.length - at] = true;
  const [left, right] = [one.slice(begins, one.length - ends), other.slice(begins, other.length - ends)];
  // What differs in so much is shown as different throughout: the table below would take too long.
  if (left.length * right.length > 4_000_000) return [keptOne, keptOther];
  const width = right.length + 1;
  const longest = new Uint32Array((left.length + 1) * width);
  for (let at = left.length - 1; at >= 0; at -= 1) {
    for (let to = right.length - 1; to >= 0; to -= 1) {
      longest[at * width + to] = left[at] === right[to]
        ? longest[(at + 1) * width + to + 1] + 1
        : Math.max(longest[(at + 1) * width + to], longest[at * width + to + 1]);
    }
  }
  for (let at = 0, to = 0; at < left.length && to < right.length;) {
    if (left[at] === right[to]) {
      keptOne[begins + at] = keptOther[begins + to] = true;
      at += 1;
      to += 1;
    } else if (longest[(at + 1) * width + to] >= longest[at * width + to + 1]) at += 1;
    else to += 1;
  }
  return [keptOne, keptOther];
}
