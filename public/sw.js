// Keeps one whole build of the app on the phone and starts it with no network.
// The build writes its name and its files, each with its digest, into the next two lines.
const BUILD = "";
const FILES = {};

// The folder of a host that the app is served from. Others of it may hold another copy of the app.
const FOLDER = new URL("./", self.location).pathname;
const CACHES = "chalkbook-" + FOLDER.slice(1);
const CACHE = CACHES + BUILD;
const PAGE = "index.html";
// A page holds a lock whose name starts so for as long as a game is open in it.
const GAME_LOCK = "chalkbook-game";

// A file is kept under its content, so that a new version fetches only what changed.
const place = (integrity) => FOLDER + "?" + integrity;

// A build is kept whole or not at all: one file missing, altered or too big for the phone fails the
// installation, and the version at work stays as it was.
async function keepBuild() {
  // A server that goes back to the build at work installs it over itself: what is kept stays then.
  const atWork = await caches.has(CACHE);
  const cache = await caches.open(CACHE);
  const keep = async ([path, integrity]) => {
    const known = await caches.match(place(integrity));
    if (known) return cache.put(place(integrity), known);
    const answer = await fetch(path, { integrity, cache: "no-cache", credentials: "omit", redirect: "error" });
    if (!answer.ok) throw new Error(path + " answered " + answer.status);
    await cache.put(place(integrity), answer);
  };
  try {
    const done = await Promise.allSettled(Object.entries(FILES).map(keep));
    const bad = done.find((one) => one.status === "rejected");
    if (bad) throw bad.reason;
  } catch (error) {
    if (!atWork) await caches.delete(CACHE);
    throw error;
  }
}

async function dropOldBuilds() {
  const names = await caches.keys();
  const own = (name) => name.startsWith(CACHES) && !name.slice(CACHES.length).includes("/");
  await Promise.all(names.filter((name) => own(name) && name !== CACHE).map((name) => caches.delete(name)));
  await self.clients.claim();
}

async function kept(path, request) {
  const cache = await caches.open(CACHE);
  return (await cache.match(place(FILES[path]))) || fetch(request);
}

// A new version takes over only where no page has a game open; where that cannot be known, it waits.
// The page that asked is told so.
async function takeOver(page) {
  const { held } = (await self.navigator.locks?.query()) ?? {};
  if (held && !held.some((lock) => lock.name.startsWith(GAME_LOCK))) await self.skipWaiting();
  else page.postMessage("game-open");
}

async function wakePages() {
  const pages = await self.clients.matchAll({ type: "window", includeUncontrolled: true });
  for (const page of pages) page.postMessage("deliver");
}

self.addEventListener("install", (event) => event.waitUntil(keepBuild()));
self.addEventListener("activate", (event) => event.waitUntil(dropOldBuilds()));
self.addEventListener("message", (event) => {
  if (event.data === "take-over") event.waitUntil(takeOver(event.source));
});
// The signal is back: the pages that are open deliver. Where none is, delivery waits for the next one:
// the records are checked and sent by the app, which is too large to start in here for that.
self.addEventListener("sync", (event) => event.waitUntil(wakePages()));
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin || !url.pathname.startsWith(FOLDER)) return;
  const path = url.pathname.slice(FOLDER.length);
  // The collector's public pages are its own, not screens of the app.
  if (path.startsWith("results") || path.startsWith("api/")) return;
  // Every screen lies in the folder itself, where the page finds its files.
  if (request.mode === "navigate" && path.includes("/")) event.respondWith(Response.redirect(FOLDER));
  else if (request.mode === "navigate") event.respondWith(kept(PAGE, request));
  else if (Object.hasOwn(FILES, path)) event.respondWith(kept(path, request));
});
