// The list of what is wrong: one item for each diagnostic, with the way to its place, what to do, and the sure edit.

import { element, prose, shown } from './ask.js';

const LEVELS = { error: 'Error', warning: 'Warning', note: 'Note' };
const CLASSES = { error: 'error', warning: 'warning', note: 'advice' };

/** Shows diagnostics in a list. What did not change stays the element it was, so that it is not read out again. */
export function showFaults(list, faults, { goTo, mend }) {
  const known = new Map();
  for (const item of list.children) {
    const alike = known.get(item.dataset.key) ?? [];
    known.set(item.dataset.key, [...alike, item]);
  }
  const items = faults.map((fault) => {
    const key = JSON.stringify([fault.code, fault.level, fault.message, fault.help, fault.file, fault.related.length, Boolean(fault.mend), fault.offer?.replacement]);
    const item = known.get(key)?.shift() ?? made(key, fault);
    update(item, fault, goTo, mend);
    return item;
  });
  const wanted = new Set(items);
  for (const item of [...list.children]) if (!wanted.has(item)) item.remove();
  items.forEach((item, at) => {
    if (list.children[at] !== item) list.insertBefore(item, list.children[at] ?? null);
  });
}

function made(key, fault) {
  const item = element('li', CLASSES[fault.level]);
  item.dataset.key = key;
  const head = element('p', 'fault-head', element('span', 'level', LEVELS[fault.level]), ' ');
  const place = fault.file === null ? element('button', 'link place') : element('span', 'place');
  if (fault.file === null) place.type = 'button';
  head.append(place);
  item.append(head, element('p', 'message', prose(fault.message)));
  if (fault.help) item.append(element('p', 'help', prose(fault.help)));
  if (fault.source) item.append(element('p', 'source', prose(fault.source)));
  if (fault.related.length > 0) item.append(element('ul', 'related'));
  const foot = element('p', 'fault-foot');
  if (fault.mend) {
    const button = element('button', 'mend', 'Mend');
    button.type = 'button';
    foot.append(button);
  } else if (fault.offer) {
    const button = element('button', 'offer', prose(offered(fault.offer)));
    button.type = 'button';
    foot.append(button);
  }
  const more = element('a', 'explained', 'What it means');
  more.href = `/explain/${encodeURIComponent(fault.code)}`;
  more.target = '_blank';
  more.rel = 'noopener';
  more.title = `${fault.code}, in a page of its own`;
  foot.append(more);
  item.append(foot);
  return item;
}

/** What an edit that is not sure would do, in words: she looks at it, and it is hers to decide. */
function offered({ replacement }) {
  const words = replacement.trim();
  return words === '' ? 'Take it out' : `Put in \`${words.length > 40 ? `${words.slice(0, 40)}…` : words}\``;
}

/** Places move with each letter: the item stays, and what it leads to is set anew. */
function update(item, fault, goTo, mend) {
  const place = item.querySelector('.place');
  const words = fault.file === null ? `line ${fault.line}` : `${shown(fault.file)}, line ${fault.line}`;
  if (place.textContent !== words) place.textContent = words;
  if (fault.file === null) place.onclick = () => goTo(fault.start, fault.end);
  const button = item.querySelector('.mend');
  if (button) {
    button.onclick = () => mend(fault.mend);
    button.setAttribute('aria-label', 'Mend');
    button.title = fault.mend.replacement.trim() === '' ? 'Take it out' : `Put in: ${shown(fault.mend.replacement.trim())}`;
  }
  const offer = item.querySelector('.offer');
  if (offer) offer.onclick = () => mend(fault.offer);
  const related = item.querySelector('.related');
  if (!related) return;
  related.replaceChildren(...fault.related.map((further) => {
    const at = further.file === null ? `line ${further.line}` : `${shown(further.file)}, line ${further.line}`;
    if (further.file !== null) return element('li', '', `${at}: `, prose(further.message));
    const link = element('button', 'link', at);
    link.type = 'button';
    link.onclick = () => goTo(further.start, further.end);
    return element('li', '', link, further.message ? ': ' : '', prose(further.message));
  }));
}
