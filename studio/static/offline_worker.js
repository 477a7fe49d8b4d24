/*
 * Keeps what opens without signing in, so that it can be read when the network is gone.
 * It asks as a stranger would: no copy holds a name, or anything that only somebody signed in may see.
 */
"use strict";

const PAGES = "open pages";
const SAVED = "X-Saved";
const HERE = new URL("./", self.location).pathname;
const LIST = `${HERE}kept.json`;
const PATIENCE_MS = 4000;
const FRESH_MS = 60 * 60 * 1000;
const LONGEST_MS = 60 * 24 * FRESH_MS;

const savedAt = (copy) => new Date(copy?.headers.get(SAVED) ?? 0);
const isFresh = (copy) => Date.now() - savedAt(copy) < FRESH_MS;

const copyOf = async (path) => (await caches.open(PAGES)).match(path, { ignoreVary: true });

const keep = async (path) => {
  const pages = await caches.open(PAGES);
  const answer = await fetch(path, { credentials: "omit", cache: "no-cache" });
  if (answer.status === 404) return pages.delete(path);
  if (!answer.ok || answer.redirected) return false;
  const headers = new Headers(answer.headers);
  headers.delete("Content-Encoding"); // it is unpacked by now
  headers.delete("Content-Length");
  headers.set(SAVED, new Date().toISOString());
  await pages.put(path, new Response(await answer.blob(), { headers }));
  return true;
};

const listed = async (copy) => (copy ? copy.json() : { pages: [], codes: {} });

/* One after another: a studio's own machine has other things to do. The list comes last, so that its date is theirs. */
const keepAll = async () => {
  const answer = await fetch(LIST, { credentials: "omit", cache: "no-cache" });
  const { pages } = await listed(answer);
  for (const path of pages) await keep(path);
  await keep(LIST);
  await forget(pages);
};

const forget = async (listed) => {
  const pages = await caches.open(PAGES);
  for (const request of await pages.keys()) {
    const isOld = Date.now() - savedAt(await pages.match(request)) > LONGEST_MS;
    if (isOld && !listed.includes(new URL(request.url).pathname)) await pages.delete(request);
  }
};

/* What was kept of a page; of a jar's own, that of its material; else the list of what there is. */
const standIn = async (path) => {
  const { codes } = await listed(await copyOf(LIST));
  return (await copyOf(path)) ?? (codes[path] && (await copyOf(codes[path]))) ?? (await copyOf(HERE));
};

const dated = async (copy) => {
  const saved = savedAt(copy);
  const text = await copy.text();
  const tongue = text.match(/<html lang="([^"]+)"/)[1].replace(/^en.*/, "en-GB");
  const words = new Intl.DateTimeFormat(tongue, { dateStyle: "long", timeStyle: "short" }).format(saved);
  const page = text
    .replace('id="saved" hidden', 'id="saved"')
    .replace("<time></time>", `<time datetime="${saved.toISOString()}">${words}</time>`);
  return new Response(page, { headers: copy.headers });
};

const inTime = (answer) =>
  Promise.race([answer, new Promise((_, give_up) => setTimeout(give_up, PATIENCE_MS, new Error("too slow")))]);

const page = async (event, path) => {
  const copy = await copyOf(path);
  try {
    const answer = await (copy ? inTime(fetch(event.request)) : fetch(event.request));
    if (copy && answer.status >= 500) return dated(copy);
    if ((copy || path.startsWith(HERE)) && !isFresh(copy)) event.waitUntil(keep(path).catch(() => false));
    return answer;
  } catch (error) {
    const instead = await standIn(path);
    return instead ? dated(instead) : Response.error();
  }
};

const drawnWith = async (request, path) => {
  try {
    return await fetch(request);
  } catch (error) {
    return (await copyOf(path)) ?? Response.error();
  }
};

self.addEventListener("install", (event) => event.waitUntil(keepAll().then(() => self.skipWaiting())));
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("message", (event) => {
  const answered = async () => {
    if (!isFresh(await copyOf(LIST))) await keepAll().catch(() => false);
    event.source.postMessage(savedAt(await copyOf(LIST)).toISOString());
  };
  event.waitUntil(answered());
});

self.addEventListener("fetch", (event) => {
  const { origin, pathname } = new URL(event.request.url);
  if (event.request.method !== "GET" || origin !== self.location.origin) return;
  if (event.request.mode === "navigate") event.respondWith(page(event, pathname));
  else if (["style", "font", "script", "image"].includes(event.request.destination)) {
    event.respondWith(drawnWith(event.request, pathname));
  }
});
