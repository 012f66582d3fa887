import { render, type ComponentChild } from "preact";
import { act } from "preact/test-utils";
import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { signedIn } from "../../api/session";
import type { Run } from "../run/fetch";
import type { Chart, Sent } from "./fetch";
import { SentList } from "./Sent";
import SentPage from "./SentPage";

const at = { project: 1, build: 2, run: 3 };
const first = "2026-05-01T10:00:00.000Z";
const tank: Sent["channels"][number] = { name: "tank", unit: "Pa", kind: "pressure", counted: "gauge", file_unit: "kPa g", count: 600, first, last: "2026-05-01T10:09:59.000Z", median_step_s: 1 };
const float: Sent = { id: 7, name: "Float", revoked_at: null, samples: 602, certified: false, start: first, channels: [tank] };
const run = { ...at, number: 3, title: "Morning", machine: "Bench trompe", state: "open", frozen: "", allowed_actions: ["record_reading"], points: [{ number: 1, name: "as drawn", windows: [] }], form: { quantities: [], conditions: [] } } as unknown as Run;
const chart: Chart = { channel: "tank", unit: "Pa", file_unit: "kPa g", counted: "gauge", start: first, t_s: [0, 300, 599], values: [30_000, 40_000, 40_100], window: null };

let page: HTMLElement;
let asked: { path: string; body: unknown }[];

/** answers has the notebook answer by the end of the address; what it was sent is kept. */
function answers(by: Record<string, unknown>): void {
  vi.stubGlobal("fetch", async (request: Request) => {
    const { pathname, search } = new URL(request.url);
    asked.push({ path: pathname + search, body: request.method === "POST" ? await request.json() : null });
    const end = Object.keys(by).find((e) => pathname.endsWith(e));
    return end === undefined ? new Response("{}", { status: 404 }) : Response.json(by[end]);
  });
}

async function shows(what: ComponentChild): Promise<void> {
  await act(() => render(what, page));
  await vi.waitFor(() => expect(page.textContent).not.toContain("Fetching"));
}

const plain = () => page.textContent.replaceAll(/[\u202F\u00a0]/g, " ");
const find = <E extends Element>(selector: string, kind: new () => E): E => {
  const found = page.querySelector(selector);
  return found instanceof kind ? found : expect.fail(`no ${selector}`);
};

beforeEach(() => {
  page = document.createElement("main");
  document.body.append(page);
  asked = [];
  localStorage.clear();
  HTMLElement.prototype.scrollIntoView = () => undefined; // jsdom has none
  vi.stubGlobal("ResizeObserver", class { observe = () => undefined; disconnect = () => undefined; });
  signedIn({ access_token: "t", expires_in_s: 900, member: { id: 5, name: "Petra", address: "", roles: [], units: "metric", own_units: null, time_zone: "UTC", signing_code_set: false } });
});
afterEach(() => {
  void act(() => render(null, page));
  page.remove();
});

test("the list names what each logger sent and leads to it, a revoked one too", async () => {
  answers({ "/loggers": { items: [float, { ...float, id: 8, name: "Box", revoked_at: first, samples: 1, start: null, channels: [] }] } });
  await shows(<SentList at={at} run={run} />);
  const [open, revoked] = [...page.querySelectorAll("li")].map((li) => li.textContent);
  expect(open).toContain("Sent: tank. 602 samples");
  expect(open).not.toContain("no more");
  expect(revoked).toContain("Nothing of it enters a result. 1 sample. It may send no more.");
  expect([...page.querySelectorAll("a")].map((a) => a.getAttribute("href"))).toEqual([7, 8].map((id) => `/projects/1/builds/2/runs/3/loggers/${id}`));
});

test("where nothing was sent it says what to do, as long as something can be done", async () => {
  answers({ "/loggers": { items: [] } });
  await shows(<SentList at={at} run={run} />);
  expect(find("a", HTMLAnchorElement).getAttribute("href")).toBe("/projects/1/builds/2/loggers");
  await shows(<SentList key="submitted" at={at} run={{ state: "submitted" }} />);
  expect(plain()).toBe("No logger sent anything while this run was open.");
});

test("the page of a logger says what came and what of it counts for nothing, and takes the part that is shown", async () => {
  answers({ "/runs/3/loggers": { items: [float] }, "/runs/3": run, "/chart": chart, "/instruments": { items: [], next: null } });
  await shows(<SentPage {...at} logger={7} />);
  await vi.waitFor(() => expect(plain()).toContain("Take the part that is shown"));
  expect(plain()).toContain("tank, in kPa g, gauge: 600 values");
  expect(plain()).toContain("usually one every 1 s");
  expect(plain()).toContain("2 of 602 samples enter no result"); // 602 came, 600 are values
  expect(plain()).toContain("no valid certificate");
  expect(asked.map((a) => a.path)).toContain("/api/v1/projects/1/builds/2/runs/3/loggers/7/chart?channel=tank");

  const take = [...page.querySelectorAll("button")].find((b) => b.textContent.startsWith("Take the part"));
  await act(() => take?.click());
  await vi.waitFor(() => expect([find("#window-from", HTMLInputElement).value, find("#window-to", HTMLInputElement).value]).toEqual(["0", "599"]));
  const measures = find("#window-quantity-0", HTMLSelectElement);
  await act(() => {
    measures.value = "look";
    measures.dispatchEvent(new Event("change", { bubbles: true }));
  });
  await act(() => find("form", HTMLFormElement).requestSubmit());
  await vi.waitFor(() => expect(asked.at(-1)?.body).toMatchObject({ logger: 7, point: 1, from_s: 0, to_s: 599, channels: [{ channel: "tank", counted: "gauge" }] }));
});

test("the page of a logger that sent nothing in the run says so", async () => {
  answers({ "/runs/3/loggers": { items: [float] }, "/runs/3": run });
  await shows(<SentPage {...at} logger={9} />);
  expect(plain()).toContain("This logger sent nothing while the run was open.");
});
