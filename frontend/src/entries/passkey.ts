/** Where a page offers a passkey: to make one, or to sign in with one. */
import { ask } from "../page/ask";
import { answered, creation, request } from "../page/passkey";

type Options = { options: Record<string, unknown> };

async function make(place: HTMLElement): Promise<string> {
  const name = place.querySelector<HTMLInputElement>("input")?.value ?? "";
  const { options } = await ask<Options>("/access/passkeys/options", "POST");
  const made = await navigator.credentials.create({ publicKey: creation(options) });
  const credential = answered(made as PublicKeyCredential);
  return (await ask<{ to: string }>("/access/passkeys", "POST", { credential, name })).to;
}

async function open(place: HTMLElement): Promise<string> {
  const { options } = await ask<Options>("/sign-in/passkey/options", "POST");
  const signed = await navigator.credentials.get({ publicKey: request(options) });
  const credential = answered(signed as PublicKeyCredential);
  const to = encodeURIComponent(place.dataset["to"] ?? "/");
  return (await ask<{ to: string }>(`/sign-in/passkey?to=${to}`, "POST", { credential })).to;
}

function words(error: unknown): string {
  if (error instanceof DOMException) {
    return error.name === "InvalidStateError"
      ? "This device has a passkey for this place already."
      : "The device did not sign. Try it again, or use the password.";
  }
  return error instanceof Error ? error.message : String(error);
}

for (const place of document.querySelectorAll<HTMLElement>("[data-passkey]")) {
  const button = place.querySelector("button");
  const told = place.querySelector<HTMLElement>(".told");
  if (button === null || told === null || !("PublicKeyCredential" in window)) continue;
  place.hidden = false;
  const act = place.dataset["passkey"] === "new" ? make : open;
  button.addEventListener("click", async () => {
    button.disabled = true;
    told.textContent = "Waiting for the device…";
    try {
      location.assign(await act(place));
    } catch (error) {
      told.textContent = words(error);
      button.disabled = false;
    }
  });
}
