// Follows an event: scores change in place; when a game begins or ends, the page is loaded again.
const event = document.body.dataset.event;
const source = new EventSource(new URL("../api/events/" + event + "/live", document.currentScript.src));
const shown = (game) => document.querySelector('[data-game="' + game + '"]');
const known = new Map();
let waiting = 0;

function again() {
  // A little apart, so that a whole square of phones does not ask at once.
  clearTimeout(waiting);
  waiting = setTimeout(() => location.reload(), 1000 + Math.random() * 4000);
}

source.addEventListener("again", again);
source.addEventListener("game", (message) => {
  const game = JSON.parse(message.data);
  const before = known.get(game.game);
  known.set(game.game, game.state + game.over + game.decided);
  const board = shown(game.game);
  if (board) {
    for (const place of board.querySelectorAll("[data-runs]")) place.textContent = game.score[place.dataset.runs];
    board.querySelector("[data-where]").textContent = game.over ? game.ending : game.inning + ", " + game.outs + " out";
  }
  if (before !== undefined && before !== game.state + game.over + game.decided) again();
  else if (before === undefined && !board && !game.over && source.settled) again();
});
setTimeout(() => { source.settled = true; }, 3000);
