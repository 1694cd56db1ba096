/* The form of one support. Every change is written to the phone at once. */

import { ask } from "./ask.js";
import { newDraft, bodyOf, leftOpen } from "./draft.js";
import { findingsPart } from "./finding.js";
import * as keep from "./keep.js";
import { markPart } from "./mark.js";
import { olderPart } from "./older.js";
import { photosPart } from "./photo.js";
import { keepRound } from "./round.js";
import { post, sendAll } from "./send.js";
import { button, choices, clock, day, el, sentence } from "./words.js";

const WORKS = [
  ["", "no work needed"],
  ["watch", "when someone is here next"],
  ["act", "soon"],
  ["make safe", "now: make safe"],
];

export async function showForm(root, code) {
  const support = await supportOf(code);
  if (!support) {
    root.append(...unknown(code));
    return;
  }
  const words = await keep.fact("words");
  const me = await keep.fact("me", { name: "", may_record: true });
  const begun = await keep.get("drafts", support.code);
  const draft = begun ?? newDraft(support, me.name);
  const form = { support, words, draft, saved: el("span", { id: "saved" }) };
  form.save = () => save(form);
  form.choiceOfUnit = await keep.fact("units", {});
  root.append(
    heading(form, begun),
    el("div", { class: "form" }, ...parts(form)),
    finish(form, me)
  );
}

/* Typed as on the tag, whatever the case; fetched if there is a network. */
async function supportOf(code) {
  const plain = (text) => text.trim().toUpperCase();
  const stored = (await keep.get("supports", code)) ?? (await keep.get("supports", plain(code)));
  if (stored) {
    return stored;
  }
  const all = await keep.keys("supports");
  const near = all.find((known) => plain(known) === plain(code));
  if (near) {
    return keep.get("supports", near);
  }
  try {
    const { ok, content } = await ask("round?" + new URLSearchParams({ codes: code }));
    if (ok && content.supports.length) {
      await addToRound(content);
      return content.supports[0];
    }
  } catch {
    /* Not stored and no network: said in words by the caller. */
  }
  return null;
}

async function addToRound(content) {
  if (await keep.fact("round")) {
    const at = { stored_at: content.made_at };
    return keep.write(content.supports.map((one) => ["put", "supports", { ...one, ...at }]));
  }
  return keepRound(content);
}

function unknown(code) {
  return [
    el("h1", {}, `${code} is not on this phone.`),
    el("p", {}, "Look at the tag again; the code may be typed otherwise. A support that is not in the stored round opens only with a network and a sign-in."),
    el("p", {}, el("a", { href: "#/", class: "action" }, "Back to the round")),
  ];
}

function heading({ support }, begun) {
  return el(
    "header",
    { class: "support-head" },
    el("p", { class: "quiet" }, `${support.site}, ${support.tree}, ${support.species}`),
    el("h1", {}, support.code),
    support.standing ? standing(support) : "",
    el("p", {}, support.due_sentence),
    support.target ? el("p", {}, `Beneath: ${support.target}.`) : "",
    support.access_note ? el("p", {}, `Access: ${support.access_note}`) : "",
    support.note ? el("p", {}, support.note) : "",
    el(
      "ul",
      { class: "cautions" },
      support.cautions.map((line) => el("li", {}, line))
    ),
    support.findings.length ? openFindings(support) : "",
    olderPart(support),
    begun ? el("p", { class: "quiet", id: "begun" }, `Begun ${day(begun.started_at)} at ${clock(begun.started_at)}; go on where you stopped.`) : ""
  );
}

function standing(support) {
  const slug = support.standing.replace(" ", "-");
  return el(
    "p",
    { class: "standing" },
    el("span", { class: `shape shape--${slug}`, "aria-hidden": "true" }),
    el("b", {}, sentence(support.standing) + ". "),
    el("span", {}, support.standing_reasons.slice(0, 2).join(" "))
  );
}

function openFindings(support) {
  const lines = support.findings.map((f) =>
    el("li", {}, `${sentence(f.label)} (${f.grade}), seen ${day(f.seen_on)}${f.member ? ", " + f.member : ""}. ${f.note}`)
  );
  return el("details", {}, el("summary", {}, `Open findings: ${lines.length}`), el("ul", {}, lines));
}

function parts(form) {
  const { support } = form;
  const marks = support.members.flatMap((member) =>
    member.marks.map((mark) => markPart(form, member, mark))
  );
  return [
    head(form),
    el("h2", {}, "Readings"),
    ...marks,
    findingsPart(form),
    photosPart(form, form.draft.photos, "Photographs"),
    work(form),
    note(form),
  ];
}

function head(form) {
  const { draft, words } = form;
  const summary = el("summary", {});
  const tell = () => {
    const degrees = draft.air ? `, ${draft.air} °C` : "";
    summary.textContent = `${sentence(draft.kind || "first")} look, ${day(draft.inspected_on)}${degrees}. Change`;
  };
  const bound = (name, input) => bind(form, draft, name, input, tell);
  tell();
  return el(
    "details",
    { class: "head" },
    summary,
    field("on", "Day", bound("inspected_on", el("input", { type: "date", id: "on", required: true }))),
    field("kind", "Kind of look", bound("kind", choices(words.kinds.map((kind) => [kind, kind]), draft.kind, { id: "kind" }))),
    field("leaf", "Leaves", bound("leaf", choices([["", "not noted"], ...words.leaves.map((leaf) => [leaf, leaf])], draft.leaf, { id: "leaf" }))),
    field("air", "Air temperature, °C", bound("air", el("input", { id: "air", inputmode: "decimal", autocomplete: "off" })))
  );
}

function work(form) {
  const { draft } = form;
  const words = el("input", { id: "work-words", placeholder: "what is to be done", autocomplete: "off" });
  const more = el("div", { class: "field", hidden: !draft.work.grade }, el("label", { for: "work-words" }, "What work"), bind(form, draft.work, "words", words));
  const how = choices(WORKS, draft.work.grade, { id: "work" });
  bind(form, draft.work, "grade", how, () => {
    more.hidden = !draft.work.grade;
  });
  return el("section", {}, el("h2", {}, "Work"), field("work", "Is work needed?", how), more);
}

function note(form) {
  const { draft } = form;
  const area = el("textarea", { id: "note", rows: "4", autocapitalize: "sentences", spellcheck: "true" });
  const name = el("input", { id: "name", autocomplete: "name", autocapitalize: "words" });
  return el(
    "section",
    {},
    field("note", "Note", bind(form, draft, "note", area)),
    field("name", "Your name, as signature", bind(form, draft, "inspector", name))
  );
}

function finish(form, me) {
  const open = el("div", { id: "left-open", role: "status" });
  const done = button("Done here", () => end(form, open, done), { id: "done" });
  const no = me.may_record === false ? "This account reads the record; what is typed here can not be sent." : "";
  return el("footer", { class: "thumb" }, no ? el("p", { class: "refusal" }, no) : "", open, el("div", { class: "row" }, form.saved, done));
}

async function end(form, open, done) {
  const { must, may } = leftOpen(form);
  const isSecond = done.dataset.asked === "yes";
  if (must.length || (may.length && !isSecond)) {
    done.dataset.asked = must.length ? "" : "yes";
    open.replaceChildren(...[...must, ...may].map((words) => el("p", {}, words)));
    done.textContent = must.length ? "Done here" : "Done all the same";
    return;
  }
  done.disabled = true;
  try {
    await post(bodyOf(form), form.draft);
  } catch (error) {
    open.replaceChildren(el("p", { class: "refusal" }, error.message));
    done.disabled = false;
    return;
  }
  location.hash = "#/out";
  sendAll();
}

async function save(form) {
  form.draft.touched_at = new Date().toISOString();
  try {
    await keep.write([["put", "drafts", form.draft]]);
    form.saved.className = "";
    form.saved.textContent = `Saved ${clock(form.draft.touched_at)}`;
  } catch (error) {
    form.saved.className = "refusal";
    form.saved.textContent = error.message;
  }
}

/* A field that shows and changes one value of the draft. */
export function bind(form, holder, name, input, then = () => {}) {
  input.value = holder[name];
  input.addEventListener("input", () => {
    holder[name] = input.value;
    then();
    form.save();
  });
  return input;
}

export function field(id, words, input) {
  return el("div", { class: "field" }, el("label", { for: id }, words), input);
}
