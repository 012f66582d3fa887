/** keepPages lets the service worker keep the pages, so that they open without signal. Where a browser can't, nothing is lost. */
export function keepPages(): void {
  if (!import.meta.env.PROD || !("serviceWorker" in navigator)) {
    return;
  }
  const address = "/worker.js";
  const policy = (globalThis as { trustedTypes?: TypePolicies }).trustedTypes?.createPolicy("leat-worker", { createScriptURL: (url) => (url === address ? url : "") });
  const trusted = (policy?.createScriptURL(address) ?? address) as string;
  addEventListener("load", () => void navigator.serviceWorker.register(trusted).catch(() => undefined));
}

interface TypePolicies {
  createPolicy: (name: string, rules: { createScriptURL: (url: string) => string }) => { createScriptURL: (url: string) => unknown };
}
