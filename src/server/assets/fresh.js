// Shows the page anew when something on the disk has changed, and leaves what she is typing alone.

document.addEventListener("changes", async () => {
  const content = document.getElementById("content");
  if (!content || content.contains(document.activeElement) && document.activeElement.matches("input, textarea, select")) return;
  const answer = await fetch(location.href, { cache: "no-store" });
  if (!answer.ok) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("content");
  if (fresh) content.replaceChildren(...fresh.childNodes);
});
