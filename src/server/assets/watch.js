// Asks now and then whether anything on the disk has changed, and tells the page by an event of that name.

const EVERY = 2000;

let known = null;

async function look() {
  if (document.hidden) return;
  try {
    const answer = await fetch("/changes", { cache: "no-store" });
    if (!answer.ok) return;
    const { now } = await answer.json();
    if (known !== null && now !== known) document.dispatchEvent(new CustomEvent("changes", { detail: now }));
    known = now;
  } catch {
    // The program has ended, or the phone is out of reach: the next look will tell.
  }
}

look();
setInterval(look, EVERY);
