/* Keeps the form on the device. VERSION and FILES are told by the server above. */

const CACHE = "underprop-field-" + VERSION;
const PAGE = "./";
const NOT_KEPT = /^\/(pictures\/|field\/(api\/|tags|sheet|markers))/;
const TAG = /^\/field\/tag\/([^/]+)$/;

self.addEventListener("install", (event) => {
  event.waitUntil(fill().then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(sweep().then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  const address = new URL(event.request.url);
  const isOurs = address.origin === self.location.origin;
  if (!isOurs || event.request.method !== "GET" || NOT_KEPT.test(address.pathname)) {
    return;
  }
  const tag = TAG.exec(address.pathname);
  if (event.request.mode === "navigate" && tag) {
    event.respondWith(Response.redirect("/field/#/" + tag[1], 302));
  } else {
    event.respondWith(kept(event.request, address));
  }
});

/* All files of one version or none: a page never runs with another version's script.
   Each body is read at once, since unread ones hold their connection and the rest waits. */
async function fill() {
  const cache = await caches.open(CACHE);
  const answers = await Promise.all(
    [PAGE, ...FILES].map(async (path) => {
      const answer = await fetch(path, { cache: "no-store", credentials: "same-origin" });
      const isFit = answer.ok && !answer.redirected;
      if (!isFit || answer.headers.get("X-Form-Version") !== VERSION) {
        throw new Error(path + " is not of version " + VERSION);
      }
      const { headers } = answer;
      return [path, new Response(await answer.blob(), { headers })];
    })
  );
  await Promise.all(answers.map(([path, answer]) => cache.put(path, answer)));
}

async function sweep() {
  for (const name of await caches.keys()) {
    if (name.startsWith("underprop-field-") && name !== CACHE) {
      await caches.delete(name);
    }
  }
}

async function kept(request, address) {
  const cache = await caches.open(CACHE);
  const wanted = request.mode === "navigate" ? PAGE : address.pathname;
  return (await cache.match(wanted)) || fetch(request);
}
