// The one button: which mark is the next sensible one. Yellow is offered while the bean is near yellow only, so that
// a roaster who never marks yellow finds first crack on the button in good time (numbers are judgement, no source).
import type { Milestone, Status, TargetFile } from "./api";

export interface NextMark {
    mark: Milestone;
    title: string;
    hint: string;
}

// Prompts that belong to a mark are said on its button.
const kPromptsOf: Partial<Record<Milestone, string[]>> = {
    charge: ["ready_to_charge"],
    first_crack: ["first_crack_near", "first_crack_not_marked"],
    drop: ["drop_near", "drop_due"],
};

/** What stands under the button's title: the daemon's prompt if there is one for this mark. */
export function hint_of(next: NextMark, status: Status): string {
    const kinds = kPromptsOf[next.mark] ?? [];
    const prompt = status.prompts.find((each) => each.kind !== undefined && kinds.includes(each.kind));
    return prompt?.text ?? next.hint;
}

const kYellowC = 150;
const kYellowBeforeC = 15;
const kYellowAfterC = 8;

export function next_mark(status: Status, target: TargetFile | null): NextMark | null {
    const bean = status.channels.bean?.value ?? null;
    if (!status.roast) {
        if (bean === null || !status.ready) return null;
        return { mark: "charge", title: "charge", hint: "if it went unnoticed" };
    }
    const has = (name: Milestone) => Boolean(status.roast?.milestones[name]);
    if (has("drop")) return null;
    if (has("second_crack")) return { mark: "drop", title: "drop", hint: "beans are out" };
    // Only a person's mark counts: an estimate must not change the button under a hand that is about to tap. Near the
    // drop it is offered all the same, for a roaster who never marks first crack.
    const heard = status.roast.milestones.first_crack?.source === "mark";
    const drop_close = status.prompts.some((each) => each.kind === "drop_near" || each.kind === "drop_due");
    if (heard || (has("first_crack") && drop_close)) {
        if (target?.milestones?.second_crack) return { mark: "second_crack", title: "second crack", hint: "heard now" };
        return { mark: "drop", title: "drop", hint: "beans are out" };
    }
    const yellow_c = target?.milestones?.yellow?.bean_c ?? kYellowC;
    if (!has("yellow") && bean !== null && status.roast.elapsed_s > 60) {
        if (bean > yellow_c - kYellowBeforeC && bean < yellow_c + kYellowAfterC)
            return { mark: "yellow", title: "yellow", hint: "all yellow now" };
    }
    return { mark: "first_crack", title: "first crack", hint: "heard now" };
}
