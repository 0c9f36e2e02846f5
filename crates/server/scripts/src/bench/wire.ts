/** What goes to the server and what comes back. */

export interface Answer {
  readonly outcome: "entered" | "questioned" | "refused" | "conflict";
  readonly version: number;
  readonly said: string;
  readonly parts: readonly { readonly id: string; readonly html: string }[];
}

/** The server answered, and not with what was asked. */
export class Refused extends Error {
  constructor(
    readonly status: number,
    readonly detail: string,
  ) {
    super(detail);
  }

  /** Nobody is signed in any more. */
  get signedOut(): boolean {
    return this.status === 401;
  }

  /** It may be taken later as it stands. */
  get later(): boolean {
    return this.status >= 500 || this.status === 429 || this.status === 408;
  }
}

/** How long an answer may take before the connection counts as lost. ASSUMED: a bench on a poor network
    waits this long for a hundredth of its readings. */
const PATIENCE_MS = 8_000;

/** Sends JSON. A connection that is lost is a `TypeError` or a timeout, an unwanted answer a `Refused`. */
export async function post(path: string, body: unknown): Promise<Response> {
  const response = await fetch(path, {
    method: "POST",
    headers: { "Content-Type": "application/json", Accept: "application/json" },
    body: JSON.stringify(body),
    signal: AbortSignal.timeout(PATIENCE_MS),
  });
  if (response.ok) return response;
  const problem = (await response.json().catch(() => ({}))) as { detail?: string };
  throw new Refused(response.status, problem.detail ?? `the server answered ${response.status}`);
}
