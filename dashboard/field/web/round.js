/* Before going out: choose supports and store them on the phone. */

import { SignedOut, ask } from "./ask.js";
import * as keep from "./keep.js";
import { countPictures, forgetPictures, storePictures } from "./pictures.js";
import { button, choices, clock, counted, day, el, sentence } from "./words.js";

export const LONGEST_DAYS = 60;
const LAST = 1e6;
const SPANS = [
  ["", "whenever they are owed"],
  ["0", "owed by today"],
  ["14", "owed within two weeks"],
  ["30", "owed within a month"],
  ["90", "owed within three months"],
  ["365", "owed within a year"],
];

export async function showRound(root) {
  const supports = (await keep.all("supports")).sort(byPlace);
  const round = await keep.fact("round");
  const drafts = new Set(await keep.keys("drafts"));
  const outbox = new Set((await keep.all("outbox")).map((item) => item.support));
  root.append(
    el("h1", {}, said(supports, round)),
    byTag(),
    list(supports, drafts, outbox),
    choosing(supports.length === 0),
    supports.length ? forgetting() : ""
  );
  root.append(
    el("p", { class: "quiet", id: "held" }, await heldWords(supports.length, drafts.size)),
    el("p", { class: "quiet" }, await roomWords())
  );
}

function said(supports, round) {
  if (!supports.length) {
    return "No round is on this phone yet.";
  }
  const since = round ? `, as the record was on ${day(round.made_at)}` : "";
  const at = round ? ` at ${clock(round.made_at)}` : "";
  return `${sentence(counted(supports.length, "support"))} on this phone${since}${at}.`;
}

function byTag() {
  const code = el("input", {
    id: "tag",
    autocomplete: "off",
    autocapitalize: "characters",
    spellcheck: "false",
    enterkeyhint: "go",
    placeholder: "S-0142",
  });
  const go = (event) => {
    event.preventDefault();
    const typed = code.value.trim();
    if (typed) {
      location.hash = "#/" + encodeURIComponent(typed);
    }
  };
  return el(
    "form",
    { class: "tag-form", onsubmit: go },
    el("label", { for: "tag" }, "Code on the tag"),
    el("div", { class: "row" }, code, el("button", { type: "submit" }, "Open"))
  );
}

function list(supports, drafts, outbox) {
  const filter = el("input", {
    type: "search",
    "aria-label": "Find among the stored supports",
    placeholder: "Find by code, site or tree",
  });
  const lines = supports.map((support) => line(support, drafts, outbox));
  filter.addEventListener("input", () => {
    const words = filter.value.toLowerCase();
    lines.forEach((entry) => {
      entry.hidden = !entry.textContent.toLowerCase().includes(words);
    });
  });
  const many = supports.length > 8;
  return el("div", {}, many ? filter : "", el("ul", { class: "stops" }, lines));
}

function line(support, drafts, outbox) {
  const state = outbox.has(support.code)
    ? "in the outbox"
    : drafts.has(support.code)
      ? "begun"
      : "";
  const due = support.due_on ? `due ${day(support.due_on)}` : "nothing owed";
  return el(
    "li",
    {},
    el(
      "a",
      { href: "#/" + encodeURIComponent(support.code) },
      el("b", {}, support.code),
      el("span", {}, `${support.site}, ${support.tree}`),
      el("span", { class: "quiet" }, [due, support.standing, state].filter(Boolean).join(" · "))
    )
  );
}

function choosing(isOpen) {
  const asked = new URLSearchParams(location.search).get("codes") ?? "";
  const site = choices([["", "all sites"]], "", { id: "site" });
  const within = choices(SPANS, "30", { id: "within" });
  const codes = el("textarea", { id: "codes", rows: "2", placeholder: "S-0142 S-0143" });
  codes.value = asked;
  const words = el("p", { role: "status", id: "stored" });
  const store = button("Store this round on the phone", () =>
    storing({ site, within, codes, words, store })
  );
  fillSites(site, words);
  return el(
    "details",
    { class: "choosing", open: isOpen || asked !== "" },
    el("summary", {}, "Choose a round"),
    field("site", "Site", site),
    field("within", "Owed", within),
    field("codes", "Or these codes only", codes),
    store,
    words
  );
}

async function fillSites(site, words) {
  try {
    const { ok, content } = await ask("start");
    if (ok) {
      site.append(
        ...content.sites.map(([code, name, count]) =>
          el("option", { value: code }, `${name} (${code}), ${counted(count, "support")}`)
        )
      );
    }
  } catch (error) {
    words.textContent = error.message;
    signInLink(error, words);
  }
}

async function storing({ site, within, codes, words, store }) {
  store.disabled = true;
  words.textContent = "Fetching.";
  try {
    const typed = codes.value.trim();
    const query = typed
      ? { codes: typed }
      : { site: site.value, within: within.value };
    const { ok, content } = await ask("round?" + new URLSearchParams(query));
    if (!ok) {
      words.textContent = content.sentence;
      return;
    }
    await keepRound(content);
    await navigator.storage?.persist?.();
    const pictures = await storePictures(content.supports, ({ kept }) => {
      words.textContent = `Fetching photographs: ${kept}.`;
    });
    const left = content.left_out
      ? ` ${content.left_out} more fitted the choice and were left out.`
      : "";
    const without = pictures.left
      ? ` ${sentence(counted(pictures.left, "older photograph"))} did not come along.`
      : "";
    const next = el("div");
    await showRound(next);
    document.getElementById("page").replaceChildren(next);
    document.getElementById("news").textContent =
      `${sentence(counted(content.supports.length, "support"))} stored.${left}${without}`;
  } catch (error) {
    words.textContent = error.message;
    signInLink(error, words);
  } finally {
    store.disabled = false;
  }
}

/* The new round takes the place of the old one; drafts and outbox stay. */
export async function keepRound(content) {
  const { supports, ...catalogues } = content;
  const { me, may_record: mayRecord, made_at: madeAt, left_out: left, ...words } = catalogues;
  await keep.write([
    ["clear", "supports"],
    ...supports.map((support, place) => ["put", "supports", { ...support, place, stored_at: madeAt }]),
    ["put", "facts", { name: "round", value: { made_at: madeAt, left } }],
    ["put", "facts", { name: "me", value: { name: me, may_record: mayRecord } }],
    ["put", "facts", { name: "words", value: words }],
  ]);
}

export async function forgetRound() {
  await forgetPictures();
  await keep.write([["clear", "supports"], ["clear", "receipts"], ["delete", "facts", "round"]]);
}

/* A phone that lies in a drawer, or in strange hands, does not hold a round for ever;
   a look that was begun needs its support, so the round stays until it is finished. */
export async function forgetOldRound(now = Date.now()) {
  const round = await keep.fact("round");
  if (!round || now - Date.parse(round.made_at) < LONGEST_DAYS * 864e5) {
    return "";
  }
  if ((await keep.keys("drafts")).length) {
    return "";
  }
  await forgetRound();
  return `The round was ${LONGEST_DAYS} days old and was taken off this phone. The outbox is kept.`;
}

function forgetting() {
  const forget = async () => {
    await forgetRound();
    location.reload();
  };
  return el(
    "details",
    {},
    el("summary", {}, "Take the round off this phone"),
    el("p", {}, "What is begun and what is in the outbox stays."),
    button("Take it off", forget)
  );
}

/* What a finder of this phone could read, and how it goes away. */
async function heldWords(supports, begun) {
  const pictures = await countPictures();
  const waiting = (await keep.keys("outbox")).length;
  const own = (await keep.keys("photos")).length;
  const held = [
    counted(supports, "support"),
    counted(pictures, "older photograph"),
    counted(begun, "look") + " begun",
    counted(waiting, "look") + " in the outbox",
    counted(own, "photograph") + " not sent",
  ];
  return `On this phone: ${held.join(", ")}. A look and its photographs leave it when the office has given its receipt, a round after ${LONGEST_DAYS} days. No password is kept here; if the phone is lost, have the account's password changed, and it can fetch and send nothing more.`;
}

async function roomWords() {
  const isKept = await navigator.storage?.persisted?.();
  const worker = (await navigator.serviceWorker?.getRegistration("/field/"))?.active;
  return [
    worker
      ? "The form opens without a network."
      : "The form is being stored; open it once more before you leave the network.",
    isKept ? "The phone keeps it until you take it off." : "",
    "Best kept: put this page on the home screen.",
  ]
    .filter(Boolean)
    .join(" ");
}

export function signInLink(error, words) {
  if (error instanceof SignedOut) {
    const next = encodeURIComponent("/field/");
    words.append(" ", el("a", { href: "/sign-in?next=" + next }, "Sign in"));
  }
}

function field(id, words, input) {
  return el("div", { class: "field" }, el("label", { for: id }, words), input);
}

/* As the office sent them: what is owed soonest first, or in the order of the agreed
   round; what was opened by its tag meanwhile comes last. */
function byPlace(a, b) {
  return (a.place ?? LAST) - (b.place ?? LAST) || (a.code < b.code ? -1 : 1);
}
