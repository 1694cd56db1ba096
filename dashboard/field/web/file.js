/* The last resort: everything unsent as one file, and back from it. */

import * as keep from "./keep.js";
import { sha256, sha256OfText } from "./ids.js";
import { counted } from "./words.js";

const SHAPE = 1;

export async function fileOf() {
  const photos = (await keep.all("photos")).map(({ bytes, ...rest }) => ({
    ...rest,
    base64: toBase64(bytes),
  }));
  const content = {
    underprop_outbox: SHAPE,
    saved_at: new Date().toISOString(),
    outbox: await keep.all("outbox"),
    drafts: await keep.all("drafts"),
    photos,
  };
  return new Blob([JSON.stringify(content, null, 1)], { type: "application/json" });
}

/* Words for the person. What is here already is not touched. */
export async function takeIn(file) {
  let content;
  try {
    content = JSON.parse(await file.text());
  } catch {
    return "This file is no saved outbox.";
  }
  if (content.underprop_outbox !== SHAPE) {
    return "This file is no saved outbox.";
  }
  const steps = [
    ...(await fresh("outbox", "id", content.outbox, isWhole)),
    ...(await fresh("drafts", "support", content.drafts, () => true)),
    ...(await photosIn(content.photos)),
  ];
  await keep.write([...steps, ["put", "facts", { name: "taken-in", value: content.saved_at }]]);
  return `${counted(steps.length, "thing")} taken in. What was here already stayed as it was.`;
}

async function fresh(store, key, found, isFit) {
  const here = new Set(await keep.keys(store));
  const steps = [];
  for (const one of found) {
    if (!here.has(one[key]) && (await isFit(one))) {
      steps.push(["put", store, one]);
    }
  }
  return steps;
}

async function isWhole(item) {
  return (await sha256OfText(item.body)) === item.sha256;
}

async function photosIn(found) {
  const steps = [];
  for (const { base64, ...rest } of found) {
    const bytes = fromBase64(base64);
    if ((await sha256(bytes)) === rest.sha256) {
      steps.push(["put", "photos", { ...rest, bytes }]);
    }
  }
  return steps;
}

function toBase64(buffer) {
  const bytes = new Uint8Array(buffer);
  let text = "";
  for (let start = 0; start < bytes.length; start += 32768) {
    text += String.fromCharCode(...bytes.subarray(start, start + 32768));
  }
  return btoa(text);
}

function fromBase64(text) {
  return Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0)).buffer;
}
