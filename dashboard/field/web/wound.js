/* The opening of a wound: traced on a photograph, or by four distances. */

import { keyOf, newEntry, readingOf } from "./draft.js";
import { plainNumber } from "./numbers.js";
import { drawOn } from "./pad.js";
import { button, choices, counted, el, measure } from "./words.js";

const WIDTH = "wound_width";
const HEIGHT = "wound_height";
const HOURS = ["12", "3", "6", "9"];

export function hasWound(mark) {
  const names = mark.readings.map((reading) => reading.quantity);
  return names.includes(WIDTH) && names.includes(HEIGHT);
}

export function woundsOf(support) {
  return support.members.flatMap((member) =>
    member.marks.filter(hasWound).map((mark) => [member.code, mark.code])
  );
}

/* Trace the opening on a photograph; the server works it out when it arrives. */
export async function trace(form, photo, src, alt) {
  const [first] = woundsOf(form.support);
  const before = photo.outline;
  const drawn = await drawOn({ src, alt, isOutline: true, lines: before ? [before.points] : [] });
  if (drawn) {
    const [member, mark] = before ? [before.member, before.mark] : first;
    photo.outline = { offset_mm: "", ruler_mm: "", ...before, member, mark, points: drawn.lines[0], hand: drawn.hand };
    form.save();
  }
}

/* What was traced, and how the sheet lay. */
export function tracedPart(form, photo, redraw) {
  const { outline } = photo;
  if (!outline) {
    return "";
  }
  const wounds = woundsOf(form.support);
  const where = choices(wounds.map(([member, mark]) => [member + "/" + mark, `${member}, ${mark}`]), outline.member + "/" + outline.mark, { "aria-label": "Which wound" });
  where.addEventListener("change", () => {
    const [member, ...mark] = where.value.split("/");
    Object.assign(outline, { member, mark: mark.join("/") });
    form.save();
  });
  const away = () => {
    delete photo.outline;
    form.save();
    redraw();
  };
  return el(
    "div",
    { class: "traced" },
    el("p", {}, `Outline of ${counted(outline.points.length, "point")} is kept. Its millimetres are worked out when it arrives; all four markers of the sheet have to be in the picture.`),
    wounds.length > 1 ? where : "",
    stated(form, outline, "offset_mm", "How far the sheet lies off the wood, mm", "not said: 5 ± 5"),
    stated(form, outline, "ruler_mm", "Its check line measures, mm", "as it says"),
    button("Forget the outline", away, { class: "plain" })
  );
}

function stated(form, outline, name, words, otherwise) {
  const input = el("input", { inputmode: "decimal", autocomplete: "off", placeholder: otherwise });
  input.value = outline[name];
  input.addEventListener("input", () => {
    outline[name] = input.value;
    form.save();
  });
  return el("label", {}, words, input);
}

/* As it is sent: numbers as numbers, what nobody said left out. */
export function outlinesIn(photos) {
  return photos.filter((photo) => photo.outline).map(({ sha256, outline }) => {
    const { points, hand, member, mark } = outline;
    const said = (name) => plainNumber(outline[name] || "");
    return {
      sha256, points, hand, member, mark,
      ...(said("offset_mm") === null ? {} : { offset_mm: said("offset_mm") }),
      ...(said("ruler_mm") === null ? {} : { ruler_mm: said("ruler_mm") }),
    };
  });
}

/* Distances from the mark to the edge of the bark at 12, 3, 6 and 9 o'clock. */
export function clockPart(form, member, mark, redraw) {
  const key = member.code + "|" + mark.code;
  const clocks = (form.draft.clocks ??= {});
  const typed = clocks[key] ?? { 12: "", 3: "", 6: "", 9: "" };
  const told = el("p", { role: "status" });
  const numbers = () => HOURS.map((hour) => plainNumber(typed[hour]));
  const tell = () => {
    const found = numbers();
    told.textContent = found.every((value) => value !== null && value >= 0) ? saidOf(found) : "";
  };
  const inputs = HOURS.map((hour) => {
    const input = el("input", { inputmode: "decimal", autocomplete: "off", "aria-label": `${hour} o'clock, mm`, placeholder: "mm" });
    input.value = typed[hour];
    input.addEventListener("input", () => {
      typed[hour] = input.value;
      clocks[key] = typed;
      tell();
      form.save();
    });
    return el("label", { class: "hour" }, `${hour} o'clock`, input);
  });
  const take = button("Take width and height over", () => {
    const found = numbers();
    if (!found.every((value) => value !== null && value >= 0)) {
      told.textContent = "Four distances in mm are needed.";
      return;
    }
    const [top, right, bottom, left] = found;
    const why = `four clock positions from the mark: 12 ${top}, 3 ${right}, 6 ${bottom}, 9 ${left} mm`;
    enter(form, [member, mark, WIDTH], right + left, why);
    enter(form, [member, mark, HEIGHT], top + bottom, why);
    form.save();
    redraw();
  });
  tell();
  return el(
    "details",
    { class: "clock" },
    el("summary", {}, "Wound by four clock positions"),
    el("p", { class: "quiet" }, "From the mark in the wound to the edge of the bark; 12 o'clock is up the stem."),
    el("div", { class: "hours" }, inputs),
    told,
    take
  );
}

/* Four quarter ellipses with these half axes, by geometry. */
function saidOf([top, right, bottom, left]) {
  const area = (Math.PI / 4) * (top + bottom) * (right + left);
  return `${measure(right + left, "mm")} wide, ${measure(top + bottom, "mm")} high, about ${(area / 100).toFixed(1)} cm² open.`;
}

function enter(form, [member, mark, quantity], value, why) {
  const said = readingOf(form.draft, keyOf(member.code, mark.code, quantity), "");
  const text = String(Math.round(value * 10) / 10);
  said.answer = "";
  said.entries = [...said.entries.filter((one) => one.text.trim()), { ...newEntry(), text, unit: "mm", method: "tape", why }];
}
