import { Pages } from "./router";

/** App is the notebook in the browser. */
export function App() {
  return <Pages />;
}
