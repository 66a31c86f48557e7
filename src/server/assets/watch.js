// Asks now and then whether anything on the disk has changed, and tells the page by an event of that name. Where nobody
// answers any more, or the program is another one than the page is of, the page says so.

const EVERY = 2000;
/** So many questions without an answer are no moment's weakness of the network. */
const LOST_AFTER = 2;

/** The program runs, and this page is none of its own: it was started anew since. */
export const STARTED_ANEW =
  "The connection is lost: the program was started anew and does not know this page. Open it again by the address in the window in which the program was started. What you typed stays here.";
const NO_ANSWER =
  "The connection is lost: the program does not answer. Where it has ended, start it again and open the page by the address that it prints. What you typed stays here.";

let known = null;
let misses = 0;

/** Says above all else that the connection is lost; with nothing to say, it is there again. */
function tell(words) {
  const shown = document.getElementById("connection-lost");
  if (shown?.textContent === words) return;
  shown?.remove();
  if (!words) return;
  const alert = document.createElement("p");
  alert.id = "connection-lost";
  alert.className = "said error lost";
  alert.setAttribute("role", "alert");
  alert.textContent = words;
  document.getElementById("content")?.prepend(alert);
}

async function look() {
  if (document.hidden) return;
  let answer;
  try {
    answer = await fetch("/changes", { cache: "no-store", credentials: "same-origin" });
  } catch {
    misses += 1;
    if (misses >= LOST_AFTER) tell(NO_ANSWER);
    return;
  }
  misses = 0;
  tell(answer.status === 403 ? STARTED_ANEW : "");
  if (!answer.ok) return;
  try {
    const { now } = await answer.json();
    if (known !== null && now !== known) document.dispatchEvent(new CustomEvent("changes", { detail: now }));
    known = now;
  } catch {
    // An answer that was cut off: the next look will tell.
  }
}

look();
setInterval(look, EVERY);
