/* Taking the two tilts of a mark with the phone itself. */

import { keyOf, newEntry, readingOf } from "./draft.js";
import * as keep from "./keep.js";
import { SECONDS, STILL_MM_M, averaged, listen, permission, reversed } from "./level.js";
import { newId } from "./ids.js";
import { button, choices, el, measure, number } from "./words.js";

const PLACEMENTS = [
  ["flat", "flat on the plate, screen up"],
  ["upright", "upright, back against the post"],
];
const FIRST = {
  flat: "Lay the phone on the plate, screen up, its top edge pointing away from the stem.",
  upright: "Hold the phone's back against the side of the post that looks away from the stem, top edge up.",
};
const SECOND = {
  flat: "Turn it by 180° on the same spot: top edge towards the stem.",
  upright: "Now against the opposite side, the one that looks at the stem, top edge up.",
};

export function tiltPart(form, member, mark, redraw) {
  const panel = el("div", { class: "level", role: "status" });
  const start = button("Use the phone as level", () => begin(panel, { form, member, mark, redraw }), { class: "plain" });
  return el("div", {}, start, panel);
}

async function begin(panel, at) {
  const no = await permission();
  if (no) {
    panel.replaceChildren(el("p", { class: "refusal" }, no));
    return;
  }
  const bearing = at.member.bearing_deg;
  const placement = choices(PLACEMENTS, "flat", { id: "placement" });
  const told = el("p", {}, FIRST.flat);
  placement.addEventListener("change", () => {
    told.textContent = FIRST[placement.value];
  });
  panel.replaceChildren(
    el("label", { for: "placement" }, "How the phone is laid"),
    placement,
    told,
    bearing === null ? "" : el("p", {}, `Away from the stem is ${Math.round(bearing)}° by compass.`),
    el("div", { class: "row" }, button(`Take it (${SECONDS} s)`, () => first(panel, at, placement.value)), cancel(panel))
  );
}

async function first(panel, at, placement) {
  const one = await still(panel, placement, () => first(panel, at, placement));
  if (!one) {
    return;
  }
  panel.replaceChildren(
    el("p", {}, said("First way", one)),
    el("p", {}, SECOND[placement]),
    el(
      "div",
      { class: "row" },
      button(`Take it reversed (${SECONDS} s)`, () => second(panel, at, placement, one)),
      button("Keep the first way only", () => keepOne(panel, at, one), { class: "plain" })
    )
  );
}

async function second(panel, at, placement, one) {
  const two = await still(panel, placement, () => second(panel, at, placement, one));
  if (!two) {
    return;
  }
  const { tilt, error, spread } = reversed(one, two);
  const own = error.map((value) => number(value, "mm/m")).join(" and ");
  panel.replaceChildren(
    el("p", {}, said("Both ways", { mean: tilt, spread })),
    el("p", { class: "quiet" }, `The phone's own error was ${own} mm/m; it is cancelled.`)
  );
  const why = (axis) => `spread ${number(spread[axis], "mm/m")} mm/m, ${one.count + two.count} samples both ways, own error ${number(error[axis], "mm/m")} mm/m`;
  await enter(at, { mean: tilt, spread }, "inclinometer reversed", why);
}

async function keepOne(panel, at, one) {
  panel.replaceChildren(
    el("p", {}, said("One way", one)),
    el("p", { class: "quiet" }, "The phone's own error is in these numbers.")
  );
  const why = (axis) => `spread ${number(one.spread[axis], "mm/m")} mm/m, ${one.count} samples one way`;
  await enter(at, one, "inclinometer", why);
}

/* Listen until the phone lay still; null if it did not, with the words shown. */
async function still(panel, placement, again) {
  const words = el("p", { class: "live" }, "Hold still.");
  panel.replaceChildren(words);
  const samples = await listen(placement, SECONDS, (so_far) => {
    const { mean } = averaged(so_far);
    words.textContent = `Hold still. ${mean.map((value) => measure(value, "mm/m")).join(" and ")}`;
  });
  const trouble = troubleWith(samples);
  if (!trouble) {
    return averaged(samples);
  }
  panel.replaceChildren(
    el("p", { class: "refusal" }, trouble),
    el("div", { class: "row" }, button("Take it again", again), cancel(panel))
  );
  return null;
}

function troubleWith(samples) {
  if (!samples.length) {
    return "The phone gives no tilt. Type the reading of a level instead.";
  }
  const { mean, spread } = averaged(samples);
  if (mean.some((value) => !(Math.abs(value) <= 350))) {
    return "The phone does not lie as drawn: more than 350 mm/m is no tilt of a post.";
  }
  if (spread.some((value) => value > STILL_MM_M)) {
    return `The phone moved: the spread is ${number(Math.max(...spread), "mm/m")} mm/m.`;
  }
  return "";
}

function said(way, { mean, spread }) {
  const axis = (n) => `${measure(mean[n], "mm/m")} (spread ${number(spread[n], "mm/m")})`;
  return `${way}: ${axis(0)} away from the stem, ${axis(1)} to the side.`;
}

/* Into the fields of the two tilts; a number that is there already stays as first. */
async function enter({ form, member, mark, redraw }, { mean, spread }, method, why) {
  const instrument = await phoneName();
  ["tilt_x", "tilt_y"].forEach((quantity, axis) => {
    const said = readingOf(form.draft, keyOf(member.code, mark.code, quantity), "");
    const entry = {
      ...newEntry(),
      text: mean[axis].toFixed(1),
      unit: "mm/m",
      method,
      instrument,
      why: why(axis),
      sd: spread[axis],
    };
    said.answer = "";
    said.entries = [...said.entries.filter((one) => one.text.trim()), entry];
  });
  form.save();
  redraw();
}

/* A name for this phone as instrument, the same each time. */
async function phoneName() {
  const known = await keep.fact("phone");
  if (known) {
    return known;
  }
  const made = "phone " + newId().slice(-4);
  await keep.keepFact("phone", made);
  return made;
}

function cancel(panel) {
  return button("Not now", () => panel.replaceChildren(), { class: "plain" });
}
