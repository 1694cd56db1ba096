/* The readings at one mark: last value, expectation, field, and why there is none. */

import { isAnswered, keyOf, newEntry, readingOf } from "./draft.js";
import * as keep from "./keep.js";
import { surprise } from "./numbers.js";
import { tiltPart } from "./tilt.js";
import { clockPart, hasWound } from "./wound.js";
import { button, choices, day, el, measure, number, sentence, span, unitWords } from "./words.js";

const UNITS = {
  mm: ["mm", "cm", "in"],
  "mm/m": ["mm/m", "deg", "in/ft"],
  um: ["um", "mils"],
  kN: ["kN", "daN", "lbf", "kgf"],
};
const REASONS = ["too high", "overgrown", "someone in the way", "instrument not at hand", "weather"];
const NOES = ["could not reach", "not measured"];

export function markPart(form, member, mark) {
  const place = { form, member, mark, redraws: [] };
  const rows = el("div", {}, mark.readings.map((reading) => row(place, reading)));
  return el(
    "section",
    { class: "mark" },
    el("h3", {}, `${sentence(member.kind)} ${member.code}, ${mark.code}`),
    mark.note ? el("p", { class: "quiet" }, mark.note) : "",
    hasTilt(mark) ? tiltPart(form, member, mark, () => redraw(place)) : "",
    hasWound(mark) ? clockPart(form, member, mark, () => redraw(place)) : "",
    rows,
    mark.readings.length > 1 ? noneOfThese(place) : "",
    more(place, rows)
  );
}

function hasTilt(mark) {
  const names = mark.readings.map((reading) => reading.quantity);
  return names.includes("tilt_x") && names.includes("tilt_y");
}

function redraw(place) {
  place.redraws.forEach((again) => again());
}

function row(place, reading) {
  const { form, member, mark } = place;
  const quantity = form.words.quantities[reading.quantity];
  const key = keyOf(member.code, mark.code, reading.quantity);
  const said = readingOf(form.draft, key, reading.method);
  const id = "r-" + key.replace(/[^a-z0-9]+/gi, "-");
  const box = el("div", { class: "reading", id: id + "-row" });
  const one = { form, reading, quantity, said, id, box };
  one.draw = () => draw(one);
  place.redraws.push(one.draw);
  one.draw();
  return box;
}

function draw(one) {
  const { reading, quantity, said, id, box } = one;
  const unit = quantity.unit;
  const last = reading.value === null ? "Not read here before." : el("span", {}, "Last ", el("b", {}, measure(reading.value, unit)), ` on ${day(reading.on)}.`);
  const expected = reading.low === null ? "" : el("span", {}, " Expected ", el("b", {}, span(reading.low, reading.high, unit)), reading.basis === "still" ? " if nothing moved." : ".");
  box.replaceChildren(
    el("label", { for: id }, sentence(quantity.label)),
    el("p", { class: "before" }, last, expected),
    el("p", { class: "quiet sign" }, sentence(quantity.sign) + "."),
    ...(said.answer ? [why(one)] : said.entries.map((entry, n) => entryPart(one, entry, n))),
    said.asks && !said.answer ? question(one) : "",
    under(one)
  );
}

function entryPart(one, entry, n) {
  const { form, quantity, said, id } = one;
  const unit = entry.unit ?? form.choiceOfUnit[quantity.unit] ?? quantity.unit;
  entry.unit = unit;
  const input = el("input", {
    id: n ? `${id}-${n}` : id,
    class: "number",
    inputmode: unit ? "decimal" : "text",
    autocomplete: "off",
    enterkeyhint: "next",
    "aria-label": n ? `${quantity.label}, repeat ${n}` : null,
    value: entry.text,
  });
  input.addEventListener("input", () => {
    entry.text = input.value;
    forgetHow(entry);
    forgetQuestion(one);
    form.save();
  });
  input.addEventListener("change", () => weigh(one, entry));
  input.addEventListener("keydown", (event) => event.key === "Enter" && next(input));
  const sign = quantity.low < 0 ? button("±", () => flip(one, entry, input), { class: "sign-button", "aria-label": "Change the sign" }) : "";
  return el(
    "div",
    { class: "entry" },
    sign,
    input,
    unitChoice(one, entry, n),
    entry.why ? el("p", { class: "quiet" }, [entry.instrument, entry.why].filter(Boolean).join(": ")) : "",
    n === said.entries.length - 1 ? "" : el("span", { class: "quiet" }, "repeated")
  );
}

function unitChoice(one, entry, n) {
  const { form, quantity } = one;
  const known = UNITS[quantity.unit] ?? [quantity.unit];
  const options = [...known.map((unit) => [unit, unitWords(unit)]), ["", "as typed"]];
  const made = choices(options, entry.unit, { class: "unit", "aria-label": `Unit of ${quantity.label}${n ? ", repeat" : ""}` });
  made.addEventListener("change", async () => {
    entry.unit = made.value;
    forgetHow(entry);
    if (made.value) {
      form.choiceOfUnit[quantity.unit] = made.value;
      await keep.keepFact("units", form.choiceOfUnit);
    }
    forgetQuestion(one);
    one.draw();
    form.save();
  });
  return made;
}

/* A number typed over is no longer the one that an instrument gave. */
function forgetHow(entry) {
  if (entry.why) {
    Object.assign(entry, { instrument: "", method: "", why: "", sd: null });
  }
}

function flip(one, entry, input) {
  const typed = entry.text.trim();
  entry.text = /^[-−]/.test(typed) ? typed.slice(1) : "-" + typed;
  input.value = entry.text;
  forgetQuestion(one);
  one.form.save();
  input.focus();
}

/* Ask once, kindly, where the number is far from what is expected. */
function weigh(one, entry) {
  const { form, quantity, reading, said } = one;
  const found = surprise(entry.text, entry.unit, reading, quantity);
  if (!found || said.asked || said.sure || said.entries.length > 1) {
    return;
  }
  const { measured, low, high, words } = found;
  const range = span(low, high, quantity.unit);
  said.asks = `Sure? Measured ${number(measured, quantity.unit)}, ${words} ${range}.`;
  said.asked = true;
  one.draw();
  form.save();
}

function forgetQuestion(one) {
  const { said } = one;
  if (said.asks || said.sure) {
    Object.assign(said, { asks: "", sure: false, asked: false });
    one.box.querySelector(".question")?.remove();
  }
}

function question(one) {
  const { form, said, id } = one;
  const settle = (isSure) => {
    said.asks = "";
    said.sure = isSure;
    one.draw();
    form.save();
  };
  const repeat = () => {
    said.entries.push(newEntry());
    settle(false);
    document.getElementById(`${id}-${said.entries.length - 1}`).focus();
  };
  return el(
    "div",
    { class: "question", role: "alert" },
    el("p", {}, said.asks),
    el("div", { class: "row" }, button("Measure once more", repeat), button("It is so", () => settle(true), { class: "plain" }))
  );
}

/* What can be said instead of, or of, the number. */
function under(one) {
  const { form, said, id, quantity } = one;
  if (said.answer) {
    return el("p", { class: "under" }, button("There is a number after all", () => answer(one, ""), { class: "plain" }));
  }
  const methods = Object.entries(form.words.methods).map(([key, words]) => [key, words]);
  const method = choices([["", "not said"], ...methods], said.method, { id: id + "-method" });
  method.addEventListener("change", () => {
    said.method = method.value;
    form.save();
  });
  const again = () => {
    said.entries.push(newEntry());
    one.draw();
    form.save();
    document.getElementById(`${id}-${said.entries.length - 1}`).focus();
  };
  return el(
    "details",
    { class: "under" },
    el("summary", { "aria-label": `${quantity.label}: no number, repeat, how` }, "No number, repeat, how"),
    el("div", { class: "row" }, NOES.map((no) => button(sentence(no), () => answer(one, no), { class: "plain" })), button("Once more", again, { class: "plain" })),
    el("label", { for: id + "-method" }, "Measured with"),
    method
  );
}

function answer(one, no) {
  one.said.answer = no;
  one.draw();
  one.form.save();
  if (no) {
    one.box.querySelector("input").focus();
  }
}

function why(one) {
  const { form, said, id } = one;
  const list = id + "-reasons";
  const input = el("input", { id, list, value: said.why, autocomplete: "off", placeholder: "why" });
  input.addEventListener("input", () => {
    said.why = input.value;
    form.save();
  });
  return el(
    "div",
    { class: "why" },
    el("p", {}, el("b", {}, sentence(said.answer) + ".")),
    input,
    el("datalist", { id: list }, REASONS.map((reason) => el("option", { value: reason })))
  );
}

/* One tap where a whole mark is out of reach; what is answered already stays. */
function noneOfThese(place) {
  const { form, member, mark } = place;
  const all = () => {
    for (const reading of mark.readings) {
      const said = form.draft.readings[keyOf(member.code, mark.code, reading.quantity)];
      if (!isAnswered(said)) {
        said.answer = "could not reach";
      }
    }
    redraw(place);
    form.save();
  };
  return button("Could not reach this mark", all, { class: "plain" });
}

/* Quantities that are not usually read here, but can be. */
function more(place, rows) {
  const { form, member, mark } = place;
  const usual = new Set(mark.readings.map((reading) => reading.quantity));
  const others = Object.entries(form.words.quantities).filter(([name, q]) => q.kinds.includes(member.kind) && !usual.has(name));
  const add = (name) => {
    const nothing = { value: null, on: null, given: "", method: "", low: null, high: null, basis: "" };
    rows.append(row(place, { quantity: name, ...nothing }));
  };
  for (const [name] of others) {
    if (form.draft.readings[keyOf(member.code, mark.code, name)]) {
      add(name);
    }
  }
  const left = others.filter(([name]) => !form.draft.readings[keyOf(member.code, mark.code, name)]);
  if (!left.length) {
    return "";
  }
  const pick = choices([["", "Something else read here"], ...left.map(([name, q]) => [name, q.label])], "", { "aria-label": `Something else read at ${mark.code}` });
  pick.addEventListener("change", () => {
    if (pick.value) {
      add(pick.value);
      pick.querySelector(`option[value="${pick.value}"]`).remove();
      pick.value = "";
    }
  });
  return pick;
}

function next(input) {
  const all = [...document.querySelectorAll("input.number")];
  const following = all[all.indexOf(input) + 1];
  input.blur();
  following?.focus();
}
