import { Link } from "wouter-preact";

const kept = [
  { href: "/stock", name: "Stock list", about: "Pipe, fittings and offcuts at hand, and what things cost: parts lists and cutting plans are held against it." },
  { href: "/group/instruments", name: "Instruments", about: "What the group measures with, and until when each calibration counts." },
  { href: "/group/safety", name: "Safety settings", about: "The limits that calculations, checks and tests keep, and how a change takes effect." },
  { href: "/group/procedure", name: "Test procedure", about: "The versions that pressure-test sheets are made from." },
  { href: "/group/record", name: "Record", about: "Everything that was signed, in one chain that nobody can change unseen." },
];

/** Keeping leads to what the group keeps for all of its projects. */
export function Keeping() {
  return (
    <section aria-labelledby="keeping-title">
      <h2 id="keeping-title">What the group keeps</h2>
      <ul class="keeping">
        {kept.map((k) => (
          <li key={k.href}>
            <Link class="do second" href={k.href}>
              {k.name}
            </Link>
            <p>{k.about}</p>
          </li>
        ))}
      </ul>
    </section>
  );
}
