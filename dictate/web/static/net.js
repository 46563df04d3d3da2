// Talks to the server: the examination as it is, what is to be done, and when it has changed.

const root = document.body.dataset.root;

export const address = (path) => `${root}/${path}`;

/** The examination as it is now. */
export async function load(path = "state") {
  const answer = await fetch(address(path));
  if (!answer.ok) throw new Error(await sentence(answer));
  return answer.json();
}

/** Do something; throws with a sentence where it could not be done. */
export async function act(what, body = {}) {
  let answer;
  try {
    answer = await fetch(address(`do/${what}`), {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify(body),
    });
  } catch {
    throw new Error("The program does not answer. Nothing was changed. Is it still running?");
  }
  if (!answer.ok) throw new Error(await sentence(answer));
  return answer.json();
}

async function sentence(answer) {
  try {
    return (await answer.json()).sentence;
  } catch {
    return "That could not be done.";
  }
}

/** Tell whenever the examination has changed; `lost` when the program no longer answers. */
export function follow(changed, lost) {
  const events = new EventSource(address("events"));
  events.addEventListener("changed", (event) => changed(JSON.parse(event.data)));
  events.addEventListener("open", () => lost(false));
  events.addEventListener("error", () => lost(true));
  window.addEventListener("pagehide", () => events.close());
}
