import { render } from "preact";
import { Drawing, type DrawingProps } from "../src/parts/Drawing/Drawing";
import type { Elevation } from "../src/parts/Drawing/model";
import "../src/style/tokens.css";
import "../src/style/base.css";
import "../src/style/print.css";

declare global {
  interface Window {
    /** Draws and answers the milliseconds until the browser has the frame ready. */
    draw: (drawing: Elevation, props: Partial<DrawingProps>) => Promise<number>;
    /** Takes the drawing away, so that the next one starts from nothing. */
    clear: () => void;
  }
}

const write = (value: number, quantity: string) => `${value.toPrecision(3)}\u202F${quantity === "bore" ? "m inside" : "m"}`;
const place = document.getElementById("place") ?? document.body;

window.clear = () => render(null, place);
window.draw = (drawing, props) =>
  new Promise((done) => {
    requestAnimationFrame(() => {
      const start = performance.now();
      render(<Drawing about="A machine" height={600} write={write} onSelect={() => undefined} {...props} drawing={drawing} />, place);
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = () => done(performance.now() - start); // comes after the frame's style, layout and paint
      port2.postMessage(null);
    });
  });
