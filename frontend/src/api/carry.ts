import { troubleOf, withFreshToken, type Answer } from "./client";
import { offline, troubleFrom } from "./problem";

/** How many bytes of a file have travelled, of how many; null while nobody knows. */
export interface Travelled {
  done: number;
  whole: number | null;
}

/** A file from the notebook, under the name that the notebook gave it. */
export interface Taken {
  file: Blob;
  name: string;
}

/** How long nothing may arrive: a file is made whole before its first byte is sent. */
const silence_ms = 300_000;
/** How long the server waits for a whole archive, and the page with it. */
const upload_ms = 30 * 60_000;

/** takeFile fetches a file as the signed-in member, and tells how far it is. */
export async function takeFile(path: string, seen: (t: Travelled) => void): Promise<Answer<Taken>> {
  const silent = new AbortController();
  let timer = 0;
  const wait = () => {
    window.clearTimeout(timer);
    timer = window.setTimeout(() => silent.abort(), silence_ms);
  };
  try {
    wait();
    const response = await withFreshToken((token) => fetch(path, { headers: { Authorization: `Bearer ${token}` }, signal: silent.signal }));
    if (!response.ok) {
      return { ok: false, trouble: troubleFrom(response.status, await response.json().catch(() => null)) };
    }
    const whole = Number(response.headers.get("Content-Length")) || null;
    const parts = await partsOf(response, (done) => {
      wait();
      seen({ done, whole });
    });
    const name = /filename="([^"]+)"/.exec(response.headers.get("Content-Disposition") ?? "")?.[1] ?? "leat.zip";
    return { ok: true, status: response.status, etag: null, data: { file: new Blob(parts, { type: "application/zip" }), name } };
  } catch (e) {
    const trouble = troubleOf(e);
    return { ok: false, trouble: trouble === offline ? { ...offline, detail: "The file did not arrive whole, so none of it was kept. Try again when you have signal." } : trouble };
  } finally {
    window.clearTimeout(timer);
  }
}

async function partsOf(response: Response, seen: (done: number) => void): Promise<BlobPart[]> {
  const parts: BlobPart[] = [];
  let done = 0;
  const reader = response.body?.getReader();
  for (let part = await reader?.read(); part?.value; part = await reader?.read()) {
    parts.push(part.value);
    done += part.value.length;
    seen(done);
  }
  return parts;
}

/** sendForm posts a form with a large file as the signed-in member, and tells how far it is. */
export async function sendForm<T>(path: string, form: FormData, seen: (t: Travelled) => void): Promise<Answer<T>> {
  try {
    const response = await withFreshToken((token) => post(path, form, token, seen));
    const answer: unknown = await response.json().catch(() => null);
    if (!response.ok) {
      return { ok: false, trouble: troubleFrom(response.status, answer) };
    }
    return { ok: true, data: answer as T, etag: response.headers.get("ETag"), status: response.status };
  } catch (e) {
    return { ok: false, trouble: troubleOf(e) };
  }
}

/** post sends a form by the older way, the only one that tells how much has left. */
function post(path: string, form: FormData, token: string, seen: (t: Travelled) => void): Promise<Response> {
  return new Promise((done, failed) => {
    const request = new XMLHttpRequest();
    const fail = () => failed(new TypeError("no answer"));
    request.open("POST", path);
    request.setRequestHeader("Authorization", `Bearer ${token}`);
    request.timeout = upload_ms;
    request.upload.onprogress = (e) => seen({ done: e.loaded, whole: e.lengthComputable ? e.total : null });
    request.onload = () => done(new Response(request.responseText, { status: request.status }));
    request.onerror = fail;
    request.ontimeout = fail;
    request.onabort = fail;
    request.send(form);
  });
}
