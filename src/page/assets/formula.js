// The page of a formula: its text, and all that follows from it, letter by letter. Nothing is worked out here: the program
// answers, and the last letter typed is the one that is answered. The page of a whole file has the text alone, and no name.

import { ask, element, prose, shown } from './ask.js';
import { Completion } from './completion.js';
import { Conflict } from './conflict.js';
import { showFaults } from './faults.js';
import { Field } from './field.js';

const find = (id) => document.getElementById(id);
const state = JSON.parse(find('formula-state').textContent);

const area = find('text');
const field = new Field(area, find('text-layer'));
const batch = find('batch');
const notice = find('notice');
const save = find('save');
const commit = find('commit');
const whatChanged = find('what-changed');
const [older, newer] = [find('older'), find('newer')];

/** What is in the file as far as this page knows, as a field has it; and the version of the file that this is. */
let saved = area.value;
let version = state.version;
/** Whether the maker wrote the words of the change herself. */
let ownWords = false;

const own = crypto.randomUUID?.() ?? String(Math.random());
let turn = 0;

const body = () => ({ file: state.file, name: state.name, text: area.value, batch: size(), page: own, turn });
const isUnsaved = () => area.value !== saved;
/** Whether it is the page of a formula, and not of a whole file. */
const isOfFormula = state.name !== '';
/** The batch that is asked for. */
const size = () => batch?.value ?? '';

// What was typed is kept for as long as this window is open: across a reload, and while the program is not there.

const KEPT = `stillroom:text:${state.file}`;

function keep() {
  try {
    if (isUnsaved()) sessionStorage.setItem(KEPT, JSON.stringify({ text: area.value, saved, version }));
    else sessionStorage.removeItem(KEPT);
  } catch {
    // Without room to keep it, it stays in the page, and leaving the page asks.
  }
}

function restore() {
  let kept = null;
  try {
    kept = JSON.parse(sessionStorage.getItem(KEPT));
  } catch {
    return;
  }
  if (typeof kept?.text !== 'string' || kept.text === area.value) return;
  const isElsewhere = kept.version !== version;
  area.value = kept.text;
  if (isElsewhere) [saved, version] = [kept.saved, kept.version];
  area.dispatchEvent(new Event('input'));
  say(isElsewhere
    ? 'What you typed is here again, and the file has changed meanwhile: saving will ask.'
    : 'What you typed is here again. It is not saved yet.');
}

function say(words, level = 'good') {
  notice.className = `said notice ${level}`;
  notice.replaceChildren(prose(words));
  notice.hidden = words === '';
}

// From the text to its faults, and from there to all that follows.

let check = null;
let results = null;
let comparing = null;
let later = 0;
/** The fault that kept a request from being answered, so that its end is told too. */
let isCutOff = false;

async function typed() {
  const began = performance.now();
  turn += 1;
  check?.abort();
  results?.abort();
  comparing?.abort();
  check = new AbortController();
  const { signal } = check;
  keep();
  tellSaved();
  try {
    const answer = await ask('/check', body(), { signal });
    if (signal.aborted || answer.overtaken) return;
    field.mark(answer.faults.filter((fault) => fault.start !== null));
    performance.measure('key to fault', { start: began });
    followed(answer);
    back();
    clearTimeout(later);
    later = setTimeout(follow, 180);
  } catch (error) {
    cutOff(error);
  }
}

function followed(answer) {
  showFaults(find('faults-list'), answer.faults, { goTo: (start, end) => field.goTo(start, end), mend });
  const summary = answer.summary === '' ? 'Nothing is wrong.' : `${answer.summary}.`;
  const words = find('faults-summary');
  if (words.textContent !== summary) words.textContent = summary;
  const hasError = answer.faults.some((fault) => fault.level === 'error');
  area.setAttribute('aria-invalid', String(hasError));
  if (batch) refuse(answer.refused);
}

function refuse(words) {
  const told = find('batch-refused');
  told.hidden = words === null;
  told.replaceChildren(prose(words === null ? '' : `${words} Below stands the size that the formula itself says.`));
  batch.setAttribute('aria-invalid', String(words !== null));
}

async function follow() {
  if (!isOfFormula) {
    if (whatChanged) await compare();
    return;
  }
  results?.abort();
  results = new AbortController();
  const { signal } = results;
  try {
    const answer = await ask('/results', body(), { signal });
    if (signal.aborted || answer.overtaken) return;
    for (const part of ['sheet', 'ph', 'label', 'cost', 'paper']) fill(find(`${part}-body`), answer[part]);
    setPaper();
    stale.hidden = true;
    if (answer.formula !== null) {
      const title = shown(answer.title ?? answer.formula);
      const heading = document.querySelector('h1');
      if (heading.textContent !== title) heading.textContent = title;
    }
    await compare();
  } catch (error) {
    // What is still shown is of another text than the one beside it.
    if (error.name !== 'AbortError') stale.hidden = false;
    cutOff(error);
  }
}

const stale = find('stale');

/** How close each side of the sheet is set on paper: no style stands in markup that is served. */
function setPaper() {
  for (const sheet of document.querySelectorAll('#paper [data-fit]')) {
    sheet.style.setProperty('--fit', sheet.dataset.fit);
    sheet.style.setProperty('--fit-second', sheet.dataset.fitSecond);
  }
  // Without weights there is no sheet.
  find('print').hidden = document.querySelector('#paper article') === null;
}

const filled = new Map();

/** Puts markup of the program in a part of the page; what was opened in it stays open. */
function fill(part, markup) {
  if (filled.get(part) === markup) return;
  const open = [...part.querySelectorAll('details')].map((one) => [one.querySelector('summary')?.textContent, one.open]);
  part.innerHTML = markup;
  filled.set(part, markup);
  for (const [words, isOpen] of open) {
    const same = [...part.querySelectorAll('details')].find((one) => one.querySelector('summary')?.textContent === words);
    if (same) same.open = isOpen;
  }
}

function cutOff(error) {
  if (error.name === 'AbortError') return;
  isCutOff = true;
  say(error.message, 'error');
}

function back() {
  if (!isCutOff) return;
  isCutOff = false;
  say('The program answers again.');
}

function mend({ start, end, replacement }) {
  field.replace(start, end, replacement);
  const at = start + replacement.length;
  area.setSelectionRange(at, at);
}

// What is taken away is of the batch that is asked for.

function sizeFiles() {
  for (const link of document.querySelectorAll('a[data-sized]')) {
    const address = new URL(link.href);
    if (size().trim() === '') address.searchParams.delete('batch');
    else address.searchParams.set('batch', size().trim());
    link.href = address.href;
  }
}

// Versions, and what is different between two of them.

async function compare() {
  comparing?.abort();
  comparing = new AbortController();
  const { signal } = comparing;
  const asked = { ...body(), older: older?.value ?? 'saved', newer: newer?.value ?? 'page' };
  try {
    const answer = await ask('/compare', asked, { signal });
    if (signal.aborted || answer.overtaken) return;
    if (isOfFormula) fill(find('difference-body'), answer.difference);
    if (whatChanged && !ownWords) whatChanged.value = answer.message;
  } catch (error) {
    tellDifference(error);
  }
}

function tellDifference(error) {
  if (error.name === 'AbortError') return;
  if (isOfFormula) find('difference-body').replaceChildren(element('p', 'none', prose(error.message)));
  else say(error.message, 'error');
}

async function readVersions() {
  if (!isOfFormula) return;
  try {
    const answer = await ask('/versions', body());
    for (const choice of [older, newer]) {
      const chosen = choice.value;
      const own = [...choice.options].filter((option) => !option.dataset.commit);
      const commits = answer.versions.map(({ id, words }) => {
        const option = new Option(words, id);
        option.dataset.commit = 'yes';
        return option;
      });
      choice.replaceChildren(...own, ...commits);
      choice.value = chosen;
      if (choice.selectedIndex < 0) choice.value = 'saved';
    }
  } catch (error) {
    tellDifference(error);
  }
}

// Saving.

const conflict = new Conflict(find('conflict'), {
  keepMine: (theirs) => {
    [saved, version] = [theirs.text, theirs.version];
    return write();
  },
  takeTheirs: (theirs) => {
    field.replace(0, area.value.length, theirs.text);
    [saved, version] = [theirs.text, theirs.version];
    keep();
    tellSaved();
    say('The text of the file is here now. What you had typed comes back with “undo”.');
    typed();
  },
});

function tellSaved() {
  const words = isUnsaved() ? 'Not saved yet.' : 'All of it is saved.';
  const told = find('saved');
  if (told.textContent !== words) told.textContent = words;
  if (isOfFormula) find('paper-unsaved').hidden = !isUnsaved();
}

/** Whether it was said that the text is empty: who saves it then means it. */
let isEmptyTold = false;

async function write(message) {
  const text = area.value;
  const empties = text.trim() === '' && saved.trim() !== '';
  if (empties && !isEmptyTold) {
    isEmptyTold = true;
    return say('The text is empty, and nothing is saved yet: what stands in the file would be gone. Save once more if that is meant.', 'warning');
  }
  isEmptyTold = false;
  save.disabled = true;
  if (commit) commit.disabled = true;
  try {
    const asked = message === undefined ? body() : { ...body(), message };
    // Of a file that is gone there is no version: it is made anew.
    const answer = await ask('/keep', asked, { version });
    [saved, version] = [text, answer.version];
    if (answer.committed) ownWords = false;
    keep();
    tellSaved();
    renamed(answer);
    say(answer.message ?? 'Saved.', answer.failed ? 'warning' : 'good');
    await readVersions();
    await follow();
  } catch (error) {
    if (error.status === 409) conflict.ask(area.value, { text: asInField(error.answer?.theirs ?? ''), version: error.answer?.version ?? '' });
    else if (error.name !== 'AbortError') say(error.message, 'error');
  } finally {
    save.disabled = false;
    if (commit) commit.disabled = false;
  }
}

/** A text as a field has it. */
function asInField(text) {
  return text.replace(/\r\n?/g, '\n');
}

/** Where the formula has another name now, this is the page of that name. */
function renamed({ name, address }) {
  if (!isOfFormula || !name || name === state.name) return;
  state.name = name;
  history.replaceState(null, '', address);
  for (const one of document.querySelectorAll('[data-of-formula]')) {
    const key = one.tagName === 'FORM' ? 'action' : 'href';
    const leads = new URL(one[key]);
    const parts = leads.pathname.split('/');
    parts[3] = encodeURIComponent(name);
    if (leads.searchParams.has('formula')) leads.searchParams.set('formula', name);
    else leads.pathname = parts.join('/');
    one[key] = leads.href;
  }
}

// A new batch.

const begin = find('begin');

function openBegin() {
  find('begin-size').value = size();
  find('begin-told').hidden = true;
  begin.showModal();
  ask('/begin', body()).then((answer) => {
    if (find('begin-name').value === '') find('begin-name').value = answer.name ?? '';
  }).catch((error) => tellBegin(error.message));
}

function tellBegin(words) {
  const told = find('begin-told');
  told.replaceChildren(prose(words));
  told.hidden = false;
}

async function beginBatch(event) {
  event.preventDefault();
  if (isUnsaved()) {
    tellBegin('Save the text first: a batch is begun from what is in the file.');
    return;
  }
  try {
    const answer = await ask('/begin', { ...body(), size: find('begin-size').value, called: find('begin-name').value });
    location.assign(answer.address);
  } catch (error) {
    tellBegin(error.message);
  }
}

// What the keys and the buttons do.

// What is typed is counted first: what is asked at the cursor is of that count.
area.addEventListener('input', typed);
new Completion(field, find('proposals'), find('proposals-told'), body);

save.addEventListener('click', () => write());
commit?.addEventListener('click', () => write(whatChanged.value));
whatChanged?.addEventListener('input', () => { ownWords = whatChanged.value !== ''; });
if (isOfFormula) {
  batch.addEventListener('input', typed);
  batch.addEventListener('input', sizeFiles);
  older.addEventListener('change', compare);
  newer.addEventListener('change', compare);
  find('print').addEventListener('click', () => window.print());
  find('new-batch').addEventListener('click', openBegin);
  find('begin-form').addEventListener('submit', beginBatch);
  find('begin-cancel').addEventListener('click', () => begin.close());
}

document.addEventListener('keydown', (event) => {
  if ((event.ctrlKey || event.metaKey) && !event.altKey && event.key.toLowerCase() === 's') {
    event.preventDefault();
    write();
  }
  if (event.key === 'F8' && document.activeElement === area) {
    event.preventDefault();
    nextFault(event.shiftKey);
  }
});

function nextFault(isBack) {
  const places = [...find('faults-list').querySelectorAll('button.place')];
  if (places.length === 0) return;
  state.fault = ((state.fault ?? (isBack ? 0 : -1)) + (isBack ? -1 : 1) + places.length) % places.length;
  places[state.fault].click();
}

// What is taken away as a file does not leave the page, and the browser asks all the same; what was typed is kept besides.
let isTaking = false;
for (const kind of ['click', 'submit']) {
  find('files')?.addEventListener(kind, (event) => {
    if (kind === 'click' && !event.target.closest('a[data-sized]')) return;
    isTaking = true;
    setTimeout(() => { isTaking = false; }, 1000);
  });
}

window.addEventListener('beforeunload', (event) => {
  if (isUnsaved() && !isTaking) event.preventDefault();
});

if (isOfFormula) {
  older.value = 'saved';
  newer.value = 'page';
  setPaper();
}
restore();
sizeFiles();
typed();
readVersions();
