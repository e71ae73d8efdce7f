// Starts the app and looks after its offline copy. The app reads and writes nothing here but this:
//   <html data-offline="ready">      every file is kept on the phone; event `chalkbook:offline` on window
//   <html data-update="waiting">     a new version is complete and waits; event `chalkbook:update`
//   event `chalkbook:wake-me`        sent by the app when something waits for a signal
//   event `chalkbook:deliver`        the signal is back, where the browser tells a service worker so
//   event `chalkbook:take-update`    sent by the app where no game is open: change to the new version now
//   <html data-install="offered">    the browser can put the app on the home screen; "by-hand" where only a person
//                                    can, "done" where it is; event `chalkbook:install` when it changes
//   event `chalkbook:install-now`    sent by the app: ask the browser to do it
//   event `chalkbook:update-held`    it did not change: a page has a game open
const here = (file) => new URL(file, import.meta.url).href;
// The build writes the names of the program's first piece into the next line.
const PROGRAM = {};
const root = document.documentElement;
const tell = (name) => window.dispatchEvent(new Event(name));

async function start() {
  // Both at once: the program does not wait for its script.
  const module_or_path = fetch(here(PROGRAM.wasm));
  const app = await import(here(PROGRAM.js));
  await app.default({ module_or_path });
}

// An app on the home screen has no button of the browser's to load a page again.
function say(text) {
  const said = document.createElement("div");
  said.className = "stopped";
  said.setAttribute("role", "alert");
  const again = document.createElement("button");
  again.className = "btn lit big wide";
  again.textContent = "open Chalkbook again";
  again.addEventListener("click", () => location.reload());
  said.append(text, again);
  document.body.prepend(said);
}

function failed(error) {
  console.error(error);
  say("Chalkbook could not start here. Games already recorded stay on this phone. " +
    "If opening it again does not help, update the browser. (" + error + ")");
}

// A module that has come to a stop shows the screen as it was and takes no more touches. That must not
// look like work going on.
let stopped = false;
function watch({ error, reason }) {
  if (stopped || !((error ?? reason) instanceof WebAssembly.RuntimeError)) return;
  stopped = true;
  say("Chalkbook has stopped by a fault of its own. Every call shown as recorded is kept on this phone.");
}
window.addEventListener("error", watch);
window.addEventListener("unhandledrejection", watch);

function offlineReady() {
  root.dataset.offline = "ready";
  tell("chalkbook:offline");
}

function updateWaits() {
  root.dataset.update = "waiting";
  tell("chalkbook:update");
}

async function keepOffline() {
  const workers = navigator.serviceWorker;
  if (!workers) return;
  const kept = await workers.register(here("sw.js"), { updateViaCache: "none" });

  if (kept.active) offlineReady();
  if (kept.waiting && kept.active) updateWaits();
  const follow = (worker) => worker && worker.addEventListener("statechange", () => {
    if (worker.state === "installed" && kept.active && kept.active !== worker) updateWaits();
    if (worker.state === "activated") offlineReady();
  });
  follow(kept.installing);
  kept.addEventListener("updatefound", () => follow(kept.installing));

  // Only the page that asked starts anew; the worker refuses while any page has a game open.
  let asked = false;
  window.addEventListener("chalkbook:take-update", () => {
    // Another page has changed to it meanwhile.
    if (!kept.waiting) return location.reload();
    asked = true;
    kept.waiting.postMessage("take-over");
  });
  workers.addEventListener("controllerchange", () => asked && location.reload());

  // Browsers without it have the event `online` alone.
  window.addEventListener("chalkbook:wake-me", () => kept.sync && kept.sync.register("deliver").catch(() => {}));
  workers.addEventListener("message", ({ data }) => {
    if (data === "deliver") tell("chalkbook:deliver");
    if (data !== "game-open") return;
    asked = false;
    tell("chalkbook:update-held");
  });

  // A page left open for days still hears of a new version, at most once an hour.
  let looked = Date.now();
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState !== "visible" || Date.now() - looked < 3_600_000) return;
    looked = Date.now();
    kept.update().catch(() => {});
  });
}

function setInstall(how) {
  root.dataset.install = how;
  tell("chalkbook:install");
}

// Only browsers on an iPhone or iPad say whether a page stands alone without the media query.
if (navigator.standalone === false) setInstall("by-hand");
let install = null;
window.addEventListener("beforeinstallprompt", (event) => {
  install = event;
  setInstall("offered");
});
window.addEventListener("appinstalled", () => setInstall("done"));
window.addEventListener("chalkbook:install-now", async () => {
  // One offer is good for one question.
  const asked = install;
  install = null;
  await asked?.prompt();
  setInstall("done");
});

// A page that comes back from the browser's memory may show what was true when it was left.
window.addEventListener("pageshow", (event) => event.persisted && location.reload());

start().catch(failed);
keepOffline().catch((error) => console.warn("No offline copy is kept:", error));
