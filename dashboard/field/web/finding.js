/* What was seen: code, grade, words, photographs. */

import { photoRow } from "./photo.js";
import { button, choices, el, sentence } from "./words.js";

export function findingsPart(form) {
  const list = el("div", {});
  const draw = () => {
    list.replaceChildren(...form.draft.findings.map((finding, n) => one(form, finding, n, draw)));
  };
  const add = () => {
    form.draft.findings.push({ code: "", grade: "", member: "", note: "", photos: [] });
    draw();
    form.save();
    list.lastElementChild.querySelector("select").focus();
  };
  draw();
  return el("section", { class: "findings" }, el("h2", {}, "Findings"), list, button("Something is wrong here", add, { id: "add-finding" }));
}

function one(form, finding, n, redraw) {
  const { words, support } = form;
  const id = (part) => `finding-${n}-${part}`;
  const codes = words.finding_codes.map(([code, label]) => [code, sentence(label)]);
  const code = choices([["", "choose"], ...codes], finding.code, { id: id("code") });
  const grades = el("div", { class: "grades", role: "group", "aria-label": "Grade" });
  const drawGrades = () => {
    grades.replaceChildren(
      ...words.grades.map((grade) =>
        button(sentence(grade), () => set("grade", grade, drawGrades), {
          class: "grade",
          "aria-pressed": String(finding.grade === grade),
        })
      )
    );
  };
  const set = (name, value, then) => {
    finding[name] = value;
    then?.();
    form.save();
  };
  code.addEventListener("change", () => {
    const known = words.finding_codes.find(([key]) => key === code.value);
    finding.grade = known ? known[2] : "";
    set("code", code.value, drawGrades);
  });
  const members = support.members.map((member) => [member.code, `${member.kind} ${member.code}`]);
  const member = choices([["", "the whole support"], ...members], finding.member, { id: id("member") });
  member.addEventListener("change", () => set("member", member.value));
  const note = el("textarea", { id: id("note"), rows: "2" });
  note.value = finding.note;
  note.addEventListener("input", () => set("note", note.value));
  const away = () => {
    form.draft.findings.splice(n, 1);
    redraw();
    form.save();
  };
  drawGrades();
  return el(
    "div",
    { class: "finding" },
    el("label", { for: id("code") }, "What was seen"),
    code,
    grades,
    members.length > 1 ? [el("label", { for: id("member") }, "On"), member] : "",
    photoRow(form, finding.photos, id("photo")),
    el("label", { for: id("note") }, "Words"),
    note,
    button("Take this finding away", away, { class: "plain" })
  );
}
