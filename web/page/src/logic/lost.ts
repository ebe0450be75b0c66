// What may still be said when the daemon is not heard: names and places, no numbers. The parts then show dashes by
// themselves, and nothing old can pass for live.
import type { Channel, Status } from "./api";

function silent(channel: Channel): Channel {
    return { ...channel, value: null, rise_per_min: null, quality: "no live data" };
}

export function without_values(status: Status): Status {
    return {
        ...status,
        channels: Object.fromEntries(Object.entries(status.channels).map(([name, each]) => [name, silent(each)])),
        roast: status.roast && { ...status.roast, elapsed_s: Number.NaN, smoothed_c: null },
        cooling: status.cooling && { ...status.cooling, since_s: Number.NaN, tray_c: null },
        target: status.target && {
            ...status.target,
            bean_c: null,
            deviation_c: null,
            ahead_s: null,
            rise_deviation_per_min: null,
            drift_per_min: null,
            burner_more: null,
            judged_now: false,
            outside: false,
            outside_for_s: 0,
            leaves_in_s: null,
        },
        next_move: status.next_move && { ...status.next_move, in_s: null },
        forecast: null,
        no_forecast: "No live data.",
        drop: null,
        fan: [],
        prompts: [],
        ready: { ...status.ready, to_charge: false, missing: ["no live data"] },
    };
}
