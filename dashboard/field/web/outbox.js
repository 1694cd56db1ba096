/* What waits to be sent, what the office asks, and what it has given a receipt for. */

import * as keep from "./keep.js";
import { fileOf, takeIn } from "./file.js";
import { signInLink } from "./round.js";
import { SignedOut } from "./ask.js";
import { changed, choose, leaveWithOffice, onOutboxChange, sendAll } from "./send.js";
import { button, clock, counted, day, el, sentence } from "./words.js";

let here = null;

onOutboxChange(() => {
  if (here && here.isConnected) {
    draw(here);
  }
});

export async function showOutbox(root) {
  here = root;
  await draw(root);
  return () => {
    here = null;
  };
}

async function draw(root) {
  const items = await keep.all("outbox");
  const receipts = (await keep.all("receipts")).sort((a, b) =>
    a.received_at < b.received_at ? 1 : -1
  );
  const paused = await keep.fact("paused", "");
  const words = el("p", { role: "status", id: "sent" }, items.length ? paused : "");
  if (paused && items.length) {
    signInLink(new SignedOut(), words);
  }
  root.replaceChildren(
    el("h1", {}, said(items)),
    items.length ? sending(words) : "",
    words,
    el("ul", { class: "items" }, items.map(entry)),
    el("h2", {}, "Received by the office"),
    el("ul", { class: "receipts" }, receipts.slice(0, 30).map(receiptLine)),
    receipts.length ? "" : el("p", { class: "quiet" }, "Nothing yet."),
    lastResort(items)
  );
}

function said(items) {
  if (!items.length) {
    return "The outbox is empty.";
  }
  const asks = items.filter((item) => item.state === "asks").length;
  const question = asks ? ` ${sentence(counted(asks, "one", "of them"))} wants an answer.` : "";
  const one = items.length === 1;
  if (one && asks) {
    return "One look waits for your answer.";
  }
  return `${sentence(counted(items.length, "look"))} ${one ? "waits" : "wait"} on this phone.${question}`;
}

function sending(words) {
  const send = button("Send now", async () => {
    words.textContent = "Sending.";
    const said = await sendAll();
    const shown = document.getElementById("sent");
    if (shown && said) {
      shown.textContent = said;
    }
  });
  return el("p", {}, send);
}

function entry(item) {
  const body = JSON.parse(item.body);
  const parts = [
    counted(body.readings.length, "reading"),
    counted(body.findings.length, "finding"),
    counted(item.photos.length, "photograph"),
  ].join(", ");
  return el(
    "li",
    { class: "item" },
    el("h2", {}, `${item.support}, ${day(body.inspected_on)}`),
    el("p", {}, `${body.inspector}. ${parts}.`),
    item.state === "asks" ? question(item) : "",
    item.trouble ? el("p", { class: "refusal", role: "alert" }, item.trouble) : "",
    item.state === "asks" || item.trouble ? ways(item) : ""
  );
}

function question(item) {
  const { sentence: words, choices } = item.question;
  return el(
    "div",
    { class: "refusal", role: "alert" },
    el("p", {}, words),
    choices.map((choice) =>
      button(choice.label, async () => {
        await choose(item, choice.changes);
        await sendAll();
      })
    )
  );
}

/* Ways on that are always open: nothing has to be thrown away. */
function ways(item) {
  return el(
    "p",
    { class: "ways" },
    item.draft ? button("Open it again", () => openAgain(item), { class: "plain" }) : "",
    button(
      "Leave it with the office as it is",
      async () => {
        await leaveWithOffice(item);
        await sendAll();
      },
      { class: "plain" }
    )
  );
}

async function openAgain(item) {
  const begun = await keep.get("drafts", item.draft.support);
  if (begun && begun.id !== item.id) {
    document.getElementById("sent").textContent =
      `Another look at ${item.support} is begun on this phone. Finish that one first.`;
    return;
  }
  const { inspected_on: on, kind } = JSON.parse(item.body);
  await keep.write([
    ["put", "drafts", { ...item.draft, inspected_on: on, kind }],
    ["delete", "outbox", item.id],
  ]);
  changed();
  location.hash = "#/" + encodeURIComponent(item.draft.support);
}

function receiptLine(receipt) {
  const at = `${day(receipt.recorded_at)}, ${clock(receipt.recorded_at)}`;
  return el(
    "li",
    {},
    receipt.sentence + " ",
    el("span", { class: "quiet" }, `Received ${at}.`)
  );
}

function lastResort(items) {
  const words = el("p", { role: "status" });
  const take = el("input", { type: "file", accept: ".json", id: "saved-file" });
  take.addEventListener("change", async () => {
    words.textContent = await takeIn(take.files[0]);
    changed();
  });
  return el(
    "details",
    { class: "last-resort" },
    el("summary", {}, "If nothing else helps"),
    el("p", {}, "Save everything that is not sent to a file: forms begun, outbox, photographs. The file can be taken in on any phone or desk browser, and is sent from there. Taking it in twice does no harm."),
    el("p", {}, button(`Save to a file (${counted(items.length, "look")} in the outbox)`, saveFile)),
    el("label", { for: "saved-file" }, "Take in a saved file"),
    take,
    words
  );
}

async function saveFile() {
  const made = await fileOf();
  const link = el("a", {
    href: URL.createObjectURL(made),
    download: `underprop-outbox-${new Date().toISOString().slice(0, 16).replace(":", "")}.json`,
  });
  document.body.append(link);
  link.click();
  link.remove();
}
