import { render } from "preact";
import { App } from "./App";
import { layGround, storedGround } from "./ground";
import { keepPages } from "./offline";
import "./style/tokens.css";
import "./style/base.css";
import "./style/print.css";

layGround(storedGround());
keepPages();
const root = document.getElementById("leat");
if (root) {
  render(<App />, root);
}
