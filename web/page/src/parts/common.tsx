// Small parts that several others use.
import type { ComponentChildren } from "preact";
import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import { kNumber } from "../logic/alarms";
import type { Priority } from "../logic/api";

export interface Size {
    width: number;
    height: number;
}

/** The whole pixels of an element, followed as it changes; zero until it is laid out. */
export function use_size() {
    const ref = useRef<HTMLDivElement>(null);
    const [size, set_size] = useState<Size>({ width: 0, height: 0 });
    useEffect(() => {
        const element = ref.current;
        if (!element) return;
        const observer = new ResizeObserver(() => {
            const width = Math.floor(element.clientWidth);
            const height = Math.floor(element.clientHeight);
            set_size((old) => (old.width === width && old.height === height ? old : { width, height }));
        });
        observer.observe(element);
        return () => observer.disconnect();
    }, []);
    return { ref, size };
}

const kFitSteps = 7;

/**
 * Sets words as large as their place allows: data-fit goes from 0 (as large as may be) to 7 until nothing is cut off;
 * the style sheet gives each step its size. `words` is what may have changed.
 */
export function use_fit<Kind extends HTMLElement>(words: string) {
    const ref = useRef<Kind>(null);
    useLayoutEffect(() => {
        const element = ref.current;
        if (!element) return;
        const fit = () => {
            for (let step = 0; step <= kFitSteps; ++step) {
                element.dataset.fit = String(step);
                if (element.scrollHeight <= element.clientHeight + 1) return;
            }
        };
        fit();
        const observer = new ResizeObserver(fit);
        observer.observe(element);
        return () => observer.disconnect();
    }, [words]);
    return ref;
}

/** The root font size in px: plots draw in px, but their text and marks grow with the page. */
export function rem(): number {
    return Number.parseFloat(getComputedStyle(document.documentElement).fontSize) || 16;
}

const kOutlines: Record<Priority, string> = {
    high: "M13 3h18l10 10v18l-10 10H13L3 31V13Z",
    medium: "M22 4L42 40H2Z",
    low: "M22 3a19 19 0 1 1 0 38a19 19 0 1 1 0-38Z",
};

/** Octagon 1, triangle 2, circle 3: told apart without colour. */
export function PriorityShape(props: { priority: Priority; flash?: boolean }) {
    return (
        <svg class={`shape${props.flash ? " flash" : ""}`} viewBox="0 0 44 44" aria-hidden="true">
            <path d={kOutlines[props.priority]} class="shape-fill" />
            <text x="22" y={props.priority === "medium" ? 35 : 31} text-anchor="middle" class="shape-number">
                {kNumber[props.priority]}
            </text>
        </svg>
    );
}

/** There is more behind it: never on a line of its own. */
export function More() {
    return <span class="alarm-more">{"\u00a0"}›</span>;
}

/** A number that can be asked why. */
export function Glance(props: { label: string; onTap: () => void; class?: string; children: ComponentChildren }) {
    return (
        <button type="button" class={`glance ${props.class ?? ""}`} title={props.label} onClick={props.onTap}>
            {props.children}
        </button>
    );
}
