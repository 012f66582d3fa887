import type { Schema } from "../../api/client";

type Site = Schema<"Site">;

/** Bores of common pressure pipe, inside, in metres; from memory, a builder puts in what the shop has. */
const bores = [0.0136, 0.018, 0.0226, 0.0284, 0.0362, 0.0452, 0.057, 0.0678, 0.0814, 0.0994, 0.1266, 0.144, 0.18, 0.2262];

/** What a machine starts with where the site's figures are not known. */
const unknown = { fall: 2, stream: 0.002, hose: 0.0003, static: 280_000 };

// Choices of ours, tried over falls of 0.7 m to 8 m: the machine draws air and runs full.
const used = 0.34; // of the drop from the water to the lip, as head; the rest presses
const covered = 0.15; // of the fall, water over the air tubes' lower ends
const filled = 0.62; // of the bore, by air tubes
const speed = 0.8; // m/s, of all the water in the empty bore

const mm = (x: number) => Math.round(x * 1000) / 1000;
const heavy = 9807; // Pa of a metre of water, rounded

/**
 * startingMachine is what a first sheet begins with: a machine of our own
 * that stands inside the site's fall, so that nothing need be dug for it, with
 * pipes for the site's flow. Levels are metres above the chamber's floor.
 */
export function startingMachine(site: Site | null): Record<string, unknown> {
  const hose = site?.source === "hose" || site?.source === "mains";
  const fall = mm(Math.min(Math.max(site?.fall_m ?? unknown.fall, 0.6), 30));
  const flow = site?.flow_m3s || (hose ? unknown.hose : unknown.stream);
  const wanted = Math.sqrt((4 * flow) / (Math.PI * speed));
  const bore = Math.max(0.0136, ...bores.filter((b) => b <= wanted));
  const [inside, outside] = bore < 0.06 ? [0.006, 0.008] : [0.01, 0.012];
  const room = Math.min(Math.max(0.1, 4 * bore), 0.4, fall / 3);
  const lip = mm(0.45 * room);
  const cover = mm(Math.max(0.08, covered * fall));
  return {
    site: given({ altitude_m: site?.altitude_m, t_air_c: site?.t_air_c, t_water_c: site?.t_water_c }),
    supply: hose ? hoseOf(site, fall, flow) : { type: "forebay", level_m: fall, ...given({ flow_max_m3s: site?.flow_m3s || null }) },
    intake: {
      mouth_m: mm(fall - cover),
      n_tubes: Math.max(2, Math.round(filled * (bore / outside) ** 2)),
      ...{ tube_id_m: inside, tube_od_m: outside, tube_length_m: mm(cover + 0.1), bundle_length_m: 0.05 },
    },
    downcomer: { bore_m: bore, outlet_m: mm(lip - 0.02) },
    chamber: { kind: "horizontal", bore_m: mm(room), length_m: mm(Math.max(0.6, 20 * bore)), floor_m: 0, lip_m: lip, high_m: mm(0.8 * room) },
    riser: { kind: "pipe", bore_m: bores.find((b) => b >= 1.25 * bore) ?? 0.2262, outlet_m: mm(lip + (fall - lip) * (1 - used)), k_minor: 1.5 },
    takeoff: { mode: "blowoff_level" },
  };
}

/** hoseOf lets a hose fill an open header, with the loss that its standing pressure and its flow tell. */
function hoseOf(site: Site, header: number, flow: number): Record<string, unknown> {
  const standing = site.static_pa || unknown.static;
  const end = mm(header + 0.06);
  const loss = Math.max(standing - heavy * end, 0.1 * standing) / flow ** 2;
  return { type: "hose_open", static_pa: standing, z_m: 0, k_pa_s2_m6: Number(loss.toPrecision(3)), level_max_m: header, outlet_m: end };
}

/** given leaves out what nobody has said yet. */
function given(figures: Record<string, number | null | undefined>): Record<string, number> {
  return Object.fromEntries(Object.entries(figures).flatMap(([name, x]) => (x == null ? [] : [[name, x]])));
}
