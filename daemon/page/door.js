// Being let in: the secret of this browser, and the form that asks for a code.

const KEY = "tarehand.secret";

export const secret = () => localStorage.getItem(KEY);
export const forget = () => localStorage.removeItem(KEY);

/** Says a code; returns what the service answers where it is refused, and nothing where it is taken. */
async function say(code) {
  const body = JSON.stringify({ code, name: called() });
  const answer = await fetch("/v1/page/enter", { method: "POST", headers: { "content-type": "application/json" }, body });
  const said = await answer.json();
  if (!answer.ok) return said;
  localStorage.setItem(KEY, said.secret);
  return null;
}

/** What this browser calls itself, for the owner's list: its kind of screen, and no more. */
function called() {
  const { width, height } = screen;
  const shape = Math.min(width, height) < 600 ? "phone" : Math.max(width, height) < 1400 ? "tablet" : "screen";
  return `${shape}, ${width} × ${height}`;
}

/** Shows the form until a code was taken. A code in the address is said at once, and taken out of the address. */
export async function enter(words) {
  const code = location.hash.slice(1);
  if (/^\d{6}$/.test(code)) {
    history.replaceState(null, "", location.pathname + location.search);
    if (!(await say(code))) return;
  }
  const gate = document.getElementById("gate");
  const put = (id, text) => { document.getElementById(id).textContent = text; };
  put("code-label", words.codeAsked);
  put("enter", words.letMeIn);
  put("gate-hint", words.codeHint);
  gate.hidden = false;
  document.getElementById("code").focus();
  await new Promise((taken) => {
    document.getElementById("gate-form").addEventListener("submit", async (event) => {
      event.preventDefault();
      const field = document.getElementById("code");
      try {
        const refused = await say(field.value);
        if (!refused) return taken();
        put("gate-said", words.codeRefused);
      } catch {
        put("gate-said", words.notReached);
      }
      field.select();
    });
  });
  gate.hidden = true;
}
