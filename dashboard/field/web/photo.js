/* Photographs: taken or chosen, kept on the phone under their hash. */

import { sha256 } from "./ids.js";
import * as keep from "./keep.js";
import { drawOn, drawnOver } from "./pad.js";
import { button, dayAt, el } from "./words.js";
import { trace, tracedPart, woundsOf } from "./wound.js";

export const MOST_BYTES = 45e6;
const SHRUNK_PX = 4000;
const WORTH_SHRINKING = 12e6;

export function photosPart(form, photos, title) {
  return el("section", {}, el("h2", {}, title), photoRow(form, photos, "photo"));
}

export function photoRow(form, photos, id) {
  const shown = el("div", { class: "photos" });
  const words = el("p", { role: "status" });
  const draw = async () => {
    shown.replaceChildren(...(await Promise.all(photos.map((p, n) => figure(form, photos, n, draw)))));
  };
  const input = el("input", { type: "file", id, accept: "image/*", capture: "environment", class: "unseen" });
  input.addEventListener("change", async () => {
    words.textContent = input.files.length ? "Keeping the photograph." : "";
    try {
      for (const file of input.files) {
        await take(form, photos, file);
      }
      words.textContent = "";
    } catch (error) {
      words.textContent = error.message;
    }
    input.value = "";
    await draw();
  });
  draw();
  return el("div", { class: "photo-row" }, shown, input, el("label", { for: id, class: "button" }, "Take a photograph"), words);
}

/* Keep the bytes and the draft that points to them in one step. */
async function take(form, photos, file) {
  const { bytes, type } = await fit(file);
  const hash = await sha256(bytes);
  if (photos.some((photo) => photo.sha256 === hash)) {
    throw new Error("This photograph is here already.");
  }
  photos.push({ sha256: hash, caption: "", taken_on: takenOn(file, form) });
  try {
    await keep.write([
      ["put", "photos", { sha256: hash, bytes, type }],
      ["put", "drafts", form.draft],
    ]);
  } catch (error) {
    photos.pop();
    throw error;
  }
}

/* A photograph that is from the day of the look has that day; of others no day is
   claimed, since the clocks of cameras are often wrong. */
function takenOn(file, form) {
  const { draft, support } = form;
  const age = Math.abs(Date.now() - file.lastModified);
  const isOfTheDay = age < 36e5 || dayAt(file.lastModified, support.timezone) === draft.inspected_on;
  return isOfTheDay ? draft.inspected_on : "";
}

async function fit(file) {
  const bytes = await file.arrayBuffer();
  const type = typeOf(new Uint8Array(bytes, 0, Math.min(16, bytes.byteLength)));
  if (!type) {
    throw new Error(`${file.name} is no photograph: JPEG, PNG, WebP and HEIC are taken.`);
  }
  if (bytes.byteLength <= WORTH_SHRINKING) {
    return { bytes, type };
  }
  const smaller = await shrunk(file);
  if (smaller) {
    return { bytes: smaller, type: "image/jpeg" };
  }
  if (bytes.byteLength > MOST_BYTES) {
    const size = Math.round(bytes.byteLength / 1e6);
    throw new Error(`${file.name} has ${size} MB and this browser can not make it smaller. Take it again at a lower resolution.`);
  }
  return { bytes, type };
}

async function shrunk(file) {
  try {
    const whole = await createImageBitmap(file);
    const scale = Math.min(1, SHRUNK_PX / Math.max(whole.width, whole.height));
    const canvas = el("canvas", { width: Math.round(whole.width * scale), height: Math.round(whole.height * scale) });
    canvas.getContext("2d").drawImage(whole, 0, 0, canvas.width, canvas.height);
    const blob = await new Promise((give) => canvas.toBlob(give, "image/jpeg", 0.9));
    return blob ? await blob.arrayBuffer() : null;
  } catch {
    return null;
  }
}

export function typeOf(head) {
  const text = String.fromCharCode(...head);
  if (text.startsWith("\xff\xd8\xff")) {
    return "image/jpeg";
  }
  if (text.startsWith("\x89PNG\r\n\x1a\n")) {
    return "image/png";
  }
  if (text.startsWith("RIFF") && text.slice(8, 12) === "WEBP") {
    return "image/webp";
  }
  return /^....ftyp(hei[cxms]|hevc|mif1|msf1)/s.test(text) ? "image/heic" : "";
}

function drawnOn({ sketch = [], outline = null }) {
  return { sketch, outline: outline ? outline.points : [] };
}

async function figure(form, photos, n, redraw) {
  const photo = photos[n];
  const stored = await keep.get("photos", photo.sha256);
  const alt = `Photograph ${n + 1}`;
  const src = stored ? URL.createObjectURL(new Blob([stored.bytes], { type: stored.type })) : "";
  const image = src ? drawnOver(src, alt, drawnOn(photo)) : el("span", {}, "kept");
  const caption = el("input", { "aria-label": `What photograph ${n + 1} shows`, placeholder: "what it shows" });
  caption.value = photo.caption;
  caption.addEventListener("input", () => {
    photo.caption = caption.value;
    form.save();
  });
  const away = () => {
    photos.splice(n, 1);
    form.save();
    redraw();
  };
  const sketch = async () => {
    const drawn = await drawOn({ src, alt, isOutline: false, lines: photo.sketch ?? [] });
    if (drawn) {
      photo.sketch = drawn.lines;
      form.save();
      redraw();
    }
  };
  const measure = async () => {
    await trace(form, photo, src, alt);
    redraw();
  };
  return el(
    "figure",
    {},
    image,
    caption,
    el(
      "div",
      { class: "row" },
      src ? button("Sketch on it", sketch, { class: "plain" }) : "",
      src && woundsOf(form.support).length ? button("Measure the wound on it", measure, { class: "plain" }) : "",
      button("Take it away", away, { class: "plain" })
    ),
    tracedPart(form, photo, redraw)
  );
}
