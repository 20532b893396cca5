/** Requests to the app that served the page: with its token, and with errors in the app's words. */

/** What went wrong, as the app tells it. */
export class Told extends Error {
  constructor(
    readonly status: number,
    readonly came: string,
    readonly expected: string,
    readonly remedy: string,
  ) {
    super([came, expected, remedy].filter((part) => part !== "").map(sentence).join(" "));
    this.name = "Told";
  }
}

/** The server did not answer at all. */
export class Gone extends Error {
  constructor() {
    super("Causeline does not answer. What you did here is kept in this page until it does.");
    this.name = "Gone";
  }
}

export const TOKEN_HEADER = "X-Causeline-Token";

/** The token that changes need; each page holds it. */
export function token(): string {
  return document.querySelector<HTMLMetaElement>('meta[name="causeline-token"]')?.content ?? "";
}

/** Ask for JSON; rejects with `Told`, or with `Gone` where nobody answered. */
export async function ask<Answer>(
  address: string,
  method: "GET" | "POST" | "PUT" | "PATCH" | "DELETE" = "GET",
  body?: unknown,
): Promise<Answer> {
  const headers: Record<string, string> = { Accept: "application/json" };
  if (method !== "GET") headers[TOKEN_HEADER] = token();
  if (body !== undefined) headers["Content-Type"] = "application/json";
  let answer: Response;
  try {
    answer = await fetch(address, {
      method,
      headers,
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    });
  } catch {
    throw new Gone();
  }
  if (!answer.ok) throw await toldBy(answer);
  return (answer.status === 204 ? undefined : await answer.json()) as Answer;
}

/** The error that an answer tells. */
export async function toldBy(answer: Response): Promise<Told> {
  try {
    const told = (await answer.json()) as { came: string; expected: string; remedy: string };
    return new Told(answer.status, told.came, told.expected, told.remedy);
  } catch {
    return new Told(answer.status, `the app answered ${answer.status}`, "", "try it again");
  }
}

function sentence(text: string): string {
  const whole = text.charAt(0).toUpperCase() + text.slice(1);
  return /[.!?]$/.test(whole) ? whole : `${whole}.`;
}
