/* Photographs from before, as stored with the round, and what was drawn on them. */

import { drawnOver } from "./pad.js";
import { pictureOf } from "./pictures.js";
import { counted, day, el } from "./words.js";

export function olderPart(support) {
  const photos = support.photos ?? [];
  if (!photos.length) {
    return "";
  }
  const shown = el("div", { class: "photos older" });
  const details = el("details", {}, el("summary", {}, `From before: ${counted(photos.length, "photograph")}`), shown);
  details.addEventListener("toggle", async () => {
    if (details.open && !shown.childElementCount) {
      shown.append(...(await Promise.all(photos.map(figure))));
    }
  });
  return details;
}

async function figure(photo) {
  const src = await pictureOf(photo.id);
  const words = [
    photo.taken_on ? day(photo.taken_on) : "day not known",
    photo.caption,
    photo.member,
    photo.said,
  ].filter(Boolean).join(". ");
  const image = src
    ? drawnOver(src, words, photo)
    : el("p", { class: "quiet" }, "This photograph is not on the phone; it comes with the next round that is stored.");
  return el("figure", {}, image, el("figcaption", {}, words));
}
