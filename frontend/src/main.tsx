import { render } from "preact";
import { App } from "./App";
import { layGround, storedGround } from "./ground";
import "./style/tokens.css";
import "./style/base.css";
import "./style/print.css";

layGround(storedGround());
const root = document.getElementById("leat");
if (root) {
  render(<App />, root);
}
