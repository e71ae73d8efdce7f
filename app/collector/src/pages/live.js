// Follows an event. Scores change in place; the rest of the page is fetched again
// and put in place of the old, with what was open left open.
const { event, game: only } = document.body.dataset;
const source = new EventSource(new URL("../api/events/" + event + "/live", document.currentScript.src));
const known = new Map();
let waiting = 0;
let settled = false;

async function renew() {
  const answer = await fetch(location.href).catch(() => null);
  // What was taken out or hidden stays on no screen; anything else may pass.
  if (!answer || !(answer.ok || answer.status === 404)) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  const old = document.querySelector("main");
  const next = fresh.querySelector("main");
  for (const open of old.querySelectorAll("details[open]")) {
    const same = open.id && next.querySelector("#" + CSS.escape(open.id));
    if (same) same.open = true;
  }
  const at = document.activeElement;
  const way = old.contains(at) ? at.getAttribute("href") : null;
  old.replaceWith(document.adoptNode(next));
  document.title = fresh.title;
  if (way) next.querySelector('[href="' + CSS.escape(way) + '"]')?.focus({ preventScroll: true });
}

// A little apart, so that a whole square of phones does not ask at once.
function soon() {
  clearTimeout(waiting);
  waiting = setTimeout(renew, 1000 + Math.random() * 4000);
}

source.addEventListener("again", soon);
source.addEventListener("game", (message) => {
  const game = JSON.parse(message.data);
  if (only && game.game !== only) return;
  const before = known.get(game.game);
  // A page of one game shows every play; that of all only what one can see there.
  const now = only ? message.data : game.state + game.over + game.decided;
  known.set(game.game, now);
  const places = document.querySelectorAll('main [data-game="' + game.game + '"]');
  for (const place of places) {
    for (const runs of place.querySelectorAll("[data-runs]")) runs.textContent = game.score[runs.dataset.runs];
    for (const where of place.querySelectorAll("[data-place]")) where.textContent = game.place;
  }
  if (before === undefined ? settled && !places.length && !game.over : before !== now) soon();
});
setTimeout(() => { settled = true; }, 3000);
