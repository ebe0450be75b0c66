// Signs beside words about alarms, sounders and probes, in ink: never told by colour.
import type { AsideShape } from "../logic/aside";

type Shape = AsideShape | "bell" | "mute" | "tick" | "due" | "up";

const kPaths: Record<Shape, string> = {
    clock: "M22 4a18 18 0 1 1 0 36a18 18 0 1 1 0-36ZM22 11v11l8 6",
    cross: "M22 4a18 18 0 1 1 0 36a18 18 0 1 1 0-36ZM10 10L34 34M34 10L10 34",
    link: "M6 6h32v32H6ZM16 14v16M28 14v16",
    bell: "M8 32h28l-4-6v-8a10 10 0 0 0-20 0v8ZM18 36h8",
    mute: "M8 32h28l-4-6v-8a10 10 0 0 0-20 0v8ZM18 36h8M5 5L39 41",
    tick: "M7 23L18 34L38 10",
    due: "M8 4h28v36H8ZM22 11v14M22 32v1",
    up: "M22 40V6M8 20L22 6L36 20",
};

/** Clock: shelved. Crossed circle: out of service. Two bars: suppressed. Bell, and bell struck out: sounders.
 *  Tick: done, or steady. Card with an exclamation mark: due. Arrow: it rose. */
export function AsideMark({ shape }: { shape: Shape }) {
    return (
        <svg class="aside-mark" viewBox="0 0 44 44" aria-hidden="true" data-mark={shape}>
            <path d={kPaths[shape]} />
        </svg>
    );
}
