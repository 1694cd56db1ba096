/* The outbox is emptied one by one. An item leaves only after the server's receipt
   for the very bytes that were sent; anything else leaves it where it is. */

import { NoNetwork, SignedOut, ask } from "./ask.js";
import { newId, sha256OfText } from "./ids.js";
import * as keep from "./keep.js";

const PIECE = 128 * 1024;
const PATIENCE_S = [5, 15, 60, 180, 300];
const MOST_RECEIPTS = 100;
const told = [];
const others = "BroadcastChannel" in globalThis ? new BroadcastChannel("underprop-outbox") : null;
let running = false;
let isAskedAgain = false;
let failures = 0;
let timer = null;

if (others) {
  others.onmessage = () => told.forEach((hear) => hear());
}

export function onOutboxChange(hear) {
  told.push(hear);
}

/* Tell this page, and the other pages of this phone, to look again. */
export function changed() {
  told.forEach((hear) => hear());
  others?.postMessage("changed");
}

/* Send all that waits. Answers with words for the person; "" if there is nothing to say.
   Who asks while something is being sent is served right after it. */
export async function sendAll() {
  if (running) {
    isAskedAgain = true;
    return "Sending already.";
  }
  running = true;
  isAskedAgain = false;
  clearTimeout(timer);
  try {
    return await alone(sendEach);
  } finally {
    running = false;
    changed();
    if (isAskedAgain) {
      sendAll();
    }
  }
}

/* Two pages of one phone take turns, where the browser can say so. */
function alone(work) {
  if (!navigator.locks) {
    return work();
  }
  return navigator.locks.request("underprop-outbox", { ifAvailable: true }, (lock) =>
    lock ? work() : laterThanTheOther()
  );
}

function laterThanTheOther() {
  tryLater();
  return "Another page is sending.";
}

async function sendEach() {
  const tried = new Set();
  for (let item = await next(tried); item; item = await next(tried)) {
    tried.add(item.sha256);
    try {
      await sendOne(item);
      failures = 0;
    } catch (error) {
      if (error instanceof SignedOut) {
        await keep.keepFact("paused", error.message);
        return error.message;
      }
      if (!(error instanceof NoNetwork)) {
        throw error;
      }
      tryLater();
      return error.message + " The outbox is kept and tried again.";
    }
  }
  if (tried.size) {
    await keep.keepFact("paused", "");
  }
  return "";
}

/* The first that was not tried yet; what was put in meanwhile has its turn, too. */
async function next(tried) {
  const items = await keep.all("outbox");
  return items.find((item) => item.state !== "asks" && !tried.has(item.sha256));
}

function tryLater() {
  const wait = PATIENCE_S[Math.min(failures, PATIENCE_S.length - 1)];
  failures += 1;
  timer = setTimeout(sendAll, wait * 1000);
}

async function sendOne(item) {
  for (const sha256 of item.photos) {
    const refusal = await sendPhoto(sha256);
    if (refusal) {
      return troubled(item, refusal);
    }
  }
  const answer = await ask(item.aside ? "set-aside" : "inspections", {
    method: "POST",
    headers: {
      "Content-Type": "application/json",
      "X-Device-Time": new Date().toISOString(),
    },
    body: item.body,
  });
  return settle(item, answer);
}

async function settle(item, { status, content }) {
  if (content.receipt) {
    return received(item, content.receipt);
  }
  if (content.question) {
    await keep.write([
      ["put", "outbox", { ...item, state: "asks", question: content.question }],
    ]);
    return changed();
  }
  if (status >= 500) {
    throw new NoNetwork(content.sentence || "The office could not take it just now.");
  }
  const words = content.missing ? "A photograph has to be sent again." : content.sentence;
  return troubled(item, words || "It was not taken.");
}

async function received(item, receipt) {
  if (receipt.id !== item.id || receipt.body_sha256 !== item.sha256) {
    return troubled(item, "The receipt is for other content, so it is kept here.");
  }
  const kept = { ...receipt, received_at: new Date().toISOString() };
  await keep.write([
    ["delete", "outbox", item.id],
    ["put", "receipts", kept],
    ...(await oldReceipts()),
    ...(await unusedPhotos(item)),
  ]);
  return changed();
}

/* The newest hundred receipts are enough to look back at. */
async function oldReceipts() {
  const kept = await keep.all("receipts");
  kept.sort((a, b) => (a.received_at < b.received_at ? 1 : -1));
  return kept.slice(MOST_RECEIPTS - 1).map(({ id }) => ["delete", "receipts", id]);
}

/* Photographs that nothing on the phone needs any more. */
export async function unusedPhotos(item) {
  const others = (await keep.all("outbox")).filter((other) => other.id !== item.id);
  const drafts = await keep.all("drafts");
  const used = new Set([
    ...others.flatMap((other) => other.photos),
    ...drafts.flatMap(photosOf),
  ]);
  return item.photos
    .filter((sha256) => !used.has(sha256))
    .map((sha256) => ["delete", "photos", sha256]);
}

export function photosOf(draft) {
  return [...draft.photos, ...draft.findings.flatMap((f) => f.photos)].map(
    (photo) => photo.sha256
  );
}

async function troubled(item, words) {
  await keep.write([["put", "outbox", { ...item, state: "waiting", trouble: words }]]);
  changed();
}

/* Send what is missing of a photograph, piece by piece; words if it is refused. */
async function sendPhoto(sha256) {
  const photo = await keep.get("photos", sha256);
  if (!photo) {
    return "";
  }
  let { content } = await ask("photos/" + sha256);
  let stalls = 0;
  while (!content.is_whole) {
    const start = content.have ?? 0;
    const piece = photo.bytes.slice(start, start + PIECE);
    const answer = await ask(`photos/${sha256}?from=${start}&of=${photo.bytes.byteLength}`, {
      method: "PUT",
      headers: { "Content-Type": "application/octet-stream" },
      body: piece,
    });
    stalls = answer.ok && answer.content.have > start ? 0 : stalls + 1;
    if (answer.status >= 500) {
      throw new NoNetwork(answer.content.sentence || "The office is busy.");
    }
    if (stalls > 2) {
      return answer.content.sentence || "A photograph does not get through.";
    }
    content = answer.ok ? answer.content : (await ask("photos/" + sha256)).content;
  }
  return "";
}

/* Put a finished form into the outbox, and its draft away, in one step. */
export async function post(body, draft) {
  const text = JSON.stringify(body);
  const item = {
    id: body.id,
    support: body.support,
    body: text,
    sha256: await sha256OfText(text),
    photos: [...new Set(body.photos.map((photo) => photo.sha256))],
    draft,
    state: "waiting",
    trouble: "",
    made_at: new Date().toISOString(),
  };
  await keep.write([
    ["put", "outbox", item],
    ["delete", "drafts", draft.support],
  ]);
  changed();
}

/* Take one of the choices the server offered. */
export async function choose(item, changes) {
  const { recorded, ...rest } = changes;
  if (recorded) {
    await keep.write([
      ["delete", "outbox", item.id],
      ...(await unusedPhotos(item)),
    ]);
    return changed();
  }
  const body = { ...JSON.parse(item.body), ...rest };
  const text = JSON.stringify(body);
  const again = {
    ...item,
    body: text,
    sha256: await sha256OfText(text),
    state: "waiting",
    question: null,
    trouble: "",
  };
  await keep.write([["put", "outbox", again]]);
  return changed();
}

/* Under an id of its own, so that it never stands in the way of what is recorded. */
export async function leaveWithOffice(item) {
  const body = { ...JSON.parse(item.body), id: newId(), first_id: item.id };
  const text = JSON.stringify(body);
  const aside = {
    ...item,
    id: body.id,
    body: text,
    sha256: await sha256OfText(text),
    aside: true,
    state: "waiting",
    question: null,
    trouble: "",
  };
  await keep.write([
    ["delete", "outbox", item.id],
    ["put", "outbox", aside],
  ]);
  changed();
}
