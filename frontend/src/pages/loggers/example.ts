/** exampleOf writes the one request that a logger needs, letter for letter as it goes over the line. */
export function exampleOf(host: string, token: string, now: Date): string {
  const at = (s: number) => new Date(Math.floor(now.getTime() / 1000) * 1000 + s * 1000).toISOString().replace(".000Z", "Z");
  const body = [
    "{",
    '  "client_key": "batch-000001",',
    '  "channels": [{"name": "tank", "unit": "bar g"}, {"name": "air", "unit": "°C"}],',
    `  "rows": [["${at(0)}", 0.302, 14.5], ["${at(10)}", 0.304, null]]`,
    "}",
  ].join("\n");
  const head = ["POST /api/v1/logger/samples HTTP/1.1", `Host: ${host}`, `Authorization: Bearer ${token}`, "Content-Type: application/json", `Content-Length: ${new TextEncoder().encode(body).length}`];
  return [...head, "", body].join("\n");
}
