/* Small photographs from before, stored for the round; few and bounded. */

const CACHE = "underprop-pictures";
const MOST_BYTES = 40e6;
const AT_ONCE = 4;

/* Fetch those that are not here yet; {kept, left, bytes}. No failure stops the round. */
export async function storePictures(supports, onProgress = () => {}) {
  const wanted = supports.flatMap((support) => (support.photos ?? []).map((photo) => photo.id));
  if (!wanted.length || !globalThis.caches) {
    return { kept: 0, left: wanted.length, bytes: 0 };
  }
  const cache = await caches.open(CACHE);
  await sweep(cache, new Set(wanted.map(addressOf)));
  const told = { kept: 0, left: 0, bytes: 0 };
  const queue = [...wanted];
  const work = async () => {
    for (let id = queue.shift(); id; id = queue.shift()) {
      const size = told.bytes < MOST_BYTES ? await fetched(cache, addressOf(id)) : 0;
      told.bytes += size;
      told[size ? "kept" : "left"] += 1;
      onProgress(told);
    }
  };
  await Promise.all(Array.from({ length: AT_ONCE }, work));
  return told;
}

/* Address of a stored picture for an img, "" if it is not on this phone. */
export async function pictureOf(id) {
  const kept = await (globalThis.caches?.open(CACHE))?.then((cache) => cache.match(addressOf(id)));
  return kept ? URL.createObjectURL(await kept.blob()) : "";
}

export async function countPictures() {
  const cache = await globalThis.caches?.open(CACHE);
  return cache ? (await cache.keys()).length : 0;
}

export async function forgetPictures() {
  await globalThis.caches?.delete(CACHE);
}

function addressOf(id) {
  return `/pictures/${id}/small`;
}

async function fetched(cache, address) {
  try {
    const known = await cache.match(address);
    const answer = known ?? (await fetch(address, { credentials: "same-origin" }));
    if (!answer.ok || answer.redirected) {
      return 0;
    }
    const body = await answer.blob();
    if (!known) {
      await cache.put(address, new Response(body, { headers: { "Content-Type": "image/jpeg" } }));
    }
    return body.size;
  } catch {
    return 0; /* No network, or no room: the round is stored without it. */
  }
}

async function sweep(cache, wanted) {
  for (const request of await cache.keys()) {
    if (!wanted.has(new URL(request.url).pathname)) {
      await cache.delete(request);
    }
  }
}
