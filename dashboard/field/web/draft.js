/* A look in the making, and the form it becomes. */

import { newId } from "./ids.js";
import { dayAt, sentence } from "./words.js";
import { outlinesIn } from "./wound.js";

export const SHAPE = 1;

export function newDraft(support, name) {
  const now = new Date().toISOString();
  return {
    id: newId(),
    support: support.code,
    started_at: now,
    touched_at: now,
    inspected_on: dayAt(now, support.timezone),
    inspector: name,
    kind: support.due_kind || (support.last_on ? "routine" : "baseline"),
    air: "",
    leaf: "",
    note: "",
    round_at: support.stored_at ?? "",
    readings: {},
    findings: [],
    photos: [],
    work: { grade: "", words: "" },
  };
}

export function keyOf(member, mark, quantity) {
  return [member, mark, quantity].join("|");
}

/* What the draft says of one reading; made when it is first asked for. */
export function readingOf(draft, key, method) {
  draft.readings[key] ??= {
    answer: "",
    why: "",
    method,
    sure: false,
    asks: "",
    asked: false,
    entries: [newEntry()],
  };
  return draft.readings[key];
}

export function newEntry() {
  return { text: "", unit: null, method: "", instrument: "", why: "", sd: null };
}

export function isAnswered(reading) {
  return Boolean(reading.answer) || reading.entries.some((entry) => entry.text.trim());
}

/* What must be mended before the form can go, and what may stay open. */
export function leftOpen({ draft, support, words }) {
  const must = [];
  if (!draft.inspector.trim()) {
    must.push("Your name is missing; it is the signature.");
  }
  if (!/^\d{4}-\d{2}-\d{2}$/.test(draft.inspected_on)) {
    must.push("The day is missing.");
  }
  if (draft.work.grade && !draft.work.words.trim()) {
    must.push("Say in a few words what work is needed.");
  }
  if (draft.findings.some((finding) => !finding.code)) {
    must.push("A finding does not say yet what was seen.");
  }
  const open = Object.entries(draft.readings).filter(([, reading]) => reading.asks);
  const empty = unanswered(draft, support, words);
  const may = [
    ...open.map(([key]) => `${named(key, words)}: the number surprises and is neither repeated nor confirmed.`),
    ...(empty.length ? [`Nothing is said of ${empty.join("; ")}. That is no answer, and stays open.`] : []),
  ];
  return { must, may };
}

function unanswered(draft, support, words) {
  return support.members
    .flatMap((member) =>
      member.marks.flatMap((mark) =>
        mark.readings.map((reading) => keyOf(member.code, mark.code, reading.quantity))
      )
    )
    .filter((key) => !draft.readings[key] || !isAnswered(draft.readings[key]))
    .map((key) => named(key, words));
}

function named(key, words) {
  const [member, mark, quantity] = key.split("|");
  return `${words.quantities[quantity].label} at ${member}, ${mark}`;
}

/* The form as it is sent. The text of a number is sent as it was typed. */
export function bodyOf({ draft, words }) {
  const readings = Object.entries(draft.readings).flatMap(([key, reading]) =>
    readingsOf(key.split("|"), reading, words)
  );
  return {
    form: SHAPE,
    id: draft.id,
    support: draft.support,
    inspected_on: draft.inspected_on,
    inspector: draft.inspector,
    kind: draft.kind,
    air: draft.air,
    leaf: draft.leaf,
    note: draft.note,
    device_at: new Date().toISOString(),
    started_at: draft.started_at,
    readings,
    findings: findingsOf(draft),
    photos: photosIn(draft, words),
    outlines: outlinesIn([...draft.photos, ...draft.findings.flatMap((finding) => finding.photos)]),
    round_at: draft.round_at ?? "",
    sure: suresOf(draft),
  };
}

function readingsOf([member, mark, quantity], reading, words) {
  const at = { member, mark, quantity };
  if (reading.answer) {
    return [{ ...at, answer: reading.answer, why: reading.why }];
  }
  return filled(reading).map((entry) => ({
    ...at,
    text: entry.text.trim(),
    unit: entry.unit ?? words.quantities[quantity].unit,
    method: entry.method || reading.method,
    instrument: entry.instrument,
    why: entry.why,
    ...(entry.sd ? { sd: entry.sd } : {}),
  }));
}

function filled(reading) {
  return reading.entries.filter((entry) => entry.text.trim());
}

function findingsOf(draft) {
  const found = draft.findings.map(({ code, grade, member, note }) => ({
    code,
    grade,
    member,
    note,
  }));
  if (draft.work.grade) {
    const note = `Work needed: ${draft.work.words.trim()}`;
    found.push({ code: "other", grade: draft.work.grade, member: "", note });
  }
  return found;
}

function photosIn(draft, words) {
  const labels = Object.fromEntries(words.finding_codes.map(([code, label]) => [code, label]));
  const sent = (photo, caption, member) => ({
    sha256: photo.sha256,
    caption: photo.caption || caption,
    member,
    taken_on: photo.taken_on,
    ...(photo.sketch?.length ? { sketch: photo.sketch } : {}),
  });
  return [
    ...draft.photos.map((photo) => sent(photo, "", "")),
    ...draft.findings.flatMap((finding) =>
      finding.photos.map((photo) =>
        sent(photo, sentence(labels[finding.code] ?? ""), finding.member)
      )
    ),
  ];
}

/* Numbers the person has confirmed are not asked about again. */
function suresOf(draft) {
  return Object.entries(draft.readings)
    .filter(([, reading]) => reading.sure && !reading.answer)
    .flatMap(([key, reading]) =>
      filled(reading).map((_, n) => `${key.split("|").join("/")}/${n + 1}`)
    );
}
