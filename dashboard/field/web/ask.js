/* Asking the server, with the three things that can go wrong told apart. */

export class NoNetwork extends Error {}
export class SignedOut extends Error {}

/* JSON of an answer; its status comes along. A stranger's sign-in page is no answer. */
export async function ask(path, options = {}) {
  let answer;
  try {
    answer = await fetch("/field/api/" + path, {
      credentials: "same-origin",
      cache: "no-store",
      redirect: "manual",
      ...options,
    });
  } catch {
    throw new NoNetwork("No network just now.");
  }
  if (answer.status === 401 || answer.type === "opaqueredirect") {
    throw new SignedOut("The sign-in has ended. Sign in again; nothing is lost.");
  }
  try {
    return { status: answer.status, ok: answer.ok, content: await answer.json() };
  } catch {
    if (answer.status >= 500 || answer.ok) {
      throw new NoNetwork("The office did not answer in full.");
    }
    return { status: answer.status, ok: false, content: { sentence: answer.statusText } };
  }
}
