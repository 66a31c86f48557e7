// The bench in one hand: what is typed goes to the program without the page being left; what was typed stays through a
// reload and through a lost connection; what waits is counted. The page works without this too, by its forms.

import { STARTED_ANEW } from "./watch.js";

const KEPT = "stillroom.bench";
const bench = () => document.querySelector("[data-bench]");
const address = () => bench().dataset.bench;
let isBusy = false;

// What this browser keeps. A browser that keeps nothing is no reason to stop.

function keep(name, value) {
  try {
    if (value === null) localStorage.removeItem(name);
    else localStorage.setItem(name, value);
  } catch {
    // Nothing is kept then.
  }
}

function kept(name) {
  try {
    return localStorage.getItem(name);
  } catch {
    return null;
  }
}

const draftName = (form) => `${KEPT}.draft.${address()}.${form.dataset.draft}`;
const boxes = (form) => [...form.querySelectorAll('input[type="text"], textarea')].filter((box) => box.name);

/** Keeps what is typed into the form of the act, until it stands in the record. */
function keepDraft(form) {
  const typed = Object.fromEntries(boxes(form).map((box) => [box.name, box.value]));
  keep(draftName(form), boxes(form).some((box) => box.value !== box.defaultValue) ? JSON.stringify(typed) : null);
}

function restoreDraft() {
  const form = document.querySelector("form[data-draft]");
  if (!form) return;
  const text = kept(draftName(form));
  if (!text) return;
  let typed;
  try {
    typed = JSON.parse(text);
  } catch {
    return;
  }
  for (const box of boxes(form)) if (typeof typed[box.name] === "string" && !box.value) box.value = typed[box.name];
}

/** Drafts of acts that were answered are of no use any more. */
function forgetDrafts() {
  try {
    const own = `${KEPT}.draft.${address()}.`;
    for (const name of Object.keys(localStorage)) if (name.startsWith(own)) localStorage.removeItem(name);
  } catch {
    // Nothing was kept.
  }
}

// What is said.

function sayOffline() {
  const said = document.getElementById("said");
  const words = document.getElementById("bench-offline");
  said?.replaceChildren(words.content.cloneNode(true));
}

function say(sentence) {
  const paragraph = document.createElement("p");
  paragraph.className = "said error";
  paragraph.setAttribute("role", "alert");
  paragraph.textContent = sentence;
  document.getElementById("said")?.replaceChildren(paragraph);
}

// Sending.

function filledIn(form, submitter) {
  const body = new URLSearchParams();
  for (const [name, value] of new FormData(form)) body.append(name, value);
  if (submitter?.name) body.append(submitter.name, submitter.value);
  const who = kept(`${KEPT}.who`);
  if (who) body.append("by", who);
  return body;
}

async function send(form, submitter) {
  if (isBusy) return;
  isBusy = true;
  for (const button of document.querySelectorAll(".bench button")) button.setAttribute("aria-disabled", "true");
  // A figure that is typed before the answer is there would be of the next act, and gone with this one's box.
  const typedInto = boxes(form).filter((box) => !box.readOnly);
  try {
    const body = filledIn(form, submitter);
    for (const box of typedInto) box.readOnly = true;
    const answer = await fetch(form.getAttribute("action"), {
      method: "POST",
      headers: { "If-Match": bench().dataset.version, "X-Stillroom": "page" },
      credentials: "same-origin",
      body,
    });
    if (answer.status === 403) return say(STARTED_ANEW);
    if (answer.headers.get("Content-Type")?.startsWith("application/json")) return say((await answer.json()).error);
    show(await answer.text(), "answered");
  } catch {
    sayOffline();
  } finally {
    isBusy = false;
    for (const box of typedInto) box.readOnly = false;
    for (const button of document.querySelectorAll(".bench button")) button.removeAttribute("aria-disabled");
  }
}

/** Puts the page that came in the place of the one that is shown. */
function show(text, why) {
  const come = new DOMParser().parseFromString(text, "text/html");
  const fresh = come.querySelector("[data-bench]");
  if (!fresh) return say(come.querySelector("main")?.textContent?.trim() || text.trim());
  document.title = come.title;
  const old = bench();
  // The status stays where it is, so that its change is read aloud; all else around it is the new page's.
  const status = old.querySelector(".next-act");
  const next = fresh.querySelector(".next-act");
  if (status.innerHTML !== next.innerHTML) status.replaceChildren(...next.childNodes);
  while (status.nextSibling) status.nextSibling.remove();
  next.remove();
  status.after(...fresh.querySelector(".at-hand").childNodes);
  old.querySelector(".rests-on").replaceWith(fresh.querySelector(".rests-on"));
  for (const name of ["bench", "version", "events", "answer"]) {
    if (fresh.dataset[name] === undefined) delete old.dataset[name];
    else old.dataset[name] = fresh.dataset[name];
  }
  const isWritten = why === "answered" && old.dataset.answer === "written";
  if (isWritten) forgetDrafts();
  ready();
  if (isWritten) focusNext();
  else if (why === "answered") focusWrong();
}

/** The box for the next figure; where there is none, what is to be done. */
function focusNext() {
  const box = document.querySelector("[data-main]");
  if (box) return box.focus({ preventScroll: false });
  const status = document.querySelector(".next-act");
  status?.setAttribute("tabindex", "-1");
  status?.focus();
}

function focusWrong() {
  const box = document.querySelector('[aria-invalid="true"]') ?? document.querySelector("button.sure") ?? document.querySelector("[data-main]");
  box?.focus();
  if (box?.select) box.select();
}

// Others write too: another page, a terminal.

async function look() {
  if (isBusy || document.hidden || !bench()) return;
  const version = bench().dataset.version;
  const ask = (of) => fetch(of, { headers: { "X-Stillroom": "page" }, credentials: "same-origin", cache: "no-store" });
  try {
    // The version alone costs next to nothing; the page is asked for where that is another one.
    const file = await ask(`/text?file=${encodeURIComponent(bench().dataset.file)}`);
    if (!file.ok || file.headers.get("ETag") === `"${version}"`) return;
    const answer = await ask(address());
    if (!answer.ok || isBusy || bench().dataset.version !== version) return;
    const focused = document.activeElement;
    const where = focused?.id;
    if (document.querySelector(".panel:not([hidden])")) return;
    const text = await answer.text();
    if (isBusy || bench().dataset.version !== version) return;
    show(text, "looked");
    if (where) document.getElementById(where)?.focus();
  } catch {
    // It is asked again; what is typed is told of when it is sent.
  }
}

// Panels.

function toggle(button) {
  const panel = document.getElementById(`panel-${button.dataset.panel}`);
  if (!panel) return false;
  const outer = panel.parentElement.closest(".panel");
  const opens = panel.hidden || outer?.hidden === true;
  const within = panel.closest(".panel") === panel ? document : panel.closest(".panel");
  const among = within === document ? ".panel" : "form.offer";
  for (const other of within.querySelectorAll(among)) if (!other.contains(panel)) other.hidden = true;
  panel.hidden = !opens;
  // A panel within another opens that one too.
  if (outer && opens) {
    for (const other of document.querySelectorAll(".panel")) other.hidden = other !== outer;
  }
  for (const one of document.querySelectorAll("button[aria-controls]")) {
    one.setAttribute("aria-expanded", String(!document.getElementById(one.getAttribute("aria-controls"))?.hidden));
  }
  if (opens) {
    const target = panel.matches("form") || button.dataset.panel === "strike" ? panel.querySelector('input[type="text"], select') : panel.querySelector("button");
    panel.scrollIntoView({ block: "nearest" });
    target?.focus();
  }
  return true;
}

// What waits.

const pad = (number) => String(number).padStart(2, "0");

/** From when it counts: the hour that the record has, where it is not to come yet; else when this page first showed it. */
function began(timer) {
  const name = `${KEPT}.wait.${timer.dataset.key}`;
  const first = Number(kept(name)) || Date.now();
  keep(name, String(first));
  const written = timer.dataset.since ? new Date(timer.dataset.since).getTime() : NaN;
  // The record has the minute alone; what this page saw in that minute is nearer.
  return Number.isFinite(written) && written <= Date.now() && Math.abs(first - written) >= 60_000 ? written : first;
}

function clock(seconds) {
  const hours = Math.floor(seconds / 3600);
  const minutes = Math.floor((seconds % 3600) / 60);
  return hours > 0 ? `${hours}:${pad(minutes)}:${pad(seconds % 60)}` : `${minutes}:${pad(seconds % 60)}`;
}

let wasOver = "";

/** Once it is over, the box has the minutes that went by, as long as nothing else was typed. */
function fillMinutes(gone) {
  const box = document.querySelector('form[data-act="waited"] [data-main]');
  if (box && (box.value === "" || box.value === box.dataset.counted)) {
    box.value = String(Math.floor(gone / 60));
    box.dataset.counted = box.value;
  }
}

function tick() {
  const timer = document.querySelector("[data-key]");
  if (!timer) return;
  const gone = Math.max(0, Math.floor((Date.now() - began(timer)) / 1000));
  const wanted = Number(timer.dataset.minutes) * 60;
  const shown = timer.querySelector(".clock");
  const until = timer.querySelector(".until");
  const over = document.querySelector("[data-wait-over]");
  if (!wanted) {
    shown.textContent = clock(gone);
    until.textContent = "gone by so far";
    return;
  }
  const isOver = gone >= wanted;
  timer.classList.toggle("over", isOver);
  shown.textContent = isOver ? "It is over" : clock(wanted - gone);
  until.textContent = isOver ? `${Math.floor(gone / 60)} min have gone by, ${timer.dataset.minutes} were asked` : `to go, of ${timer.dataset.minutes} min`;
  if (isOver) fillMinutes(gone);
  if (!isOver || wasOver === timer.dataset.key) return;
  wasOver = timer.dataset.key;
  over.textContent = `The wait is over: ${timer.dataset.minutes} minutes have gone by.`;
  document.title = `Over: ${document.title.replace(/^Over: /, "")}`;
  // A browser buzzes only for who has touched the page.
  if (navigator.userActivation?.hasBeenActive) navigator.vibrate?.([200, 100, 200]);
}

// Together.

function ready() {
  restoreDraft();
  const who = document.querySelector("[data-who]");
  if (who) who.value = kept(`${KEPT}.who`) ?? "";
  tick();
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.dataset.act) return;
  event.preventDefault();
  send(form, event.submitter);
});

document.addEventListener("click", (event) => {
  const button = event.target.closest("button[data-panel]");
  if (button && toggle(button)) event.preventDefault();
});

document.addEventListener("input", (event) => {
  const form = event.target.closest("form[data-draft]");
  if (form) keepDraft(form);
  if (event.target.matches("[data-who]")) keep(`${KEPT}.who`, event.target.value.trim() || null);
});

// `watch.js` asks whether anything on the disk has changed.
document.addEventListener("changes", look);
window.addEventListener("online", look);
setInterval(tick, 1000);
ready();
