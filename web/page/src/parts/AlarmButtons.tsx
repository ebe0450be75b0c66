// What a hand may do to one alarm at once.
import { can_acknowledge, can_reset, is_over } from "../logic/alarms";
import type { Alarm } from "../logic/api";
import type { Model } from "../model";

export function AlarmButtons({ model, alarm }: { model: Model; alarm: Alarm }) {
    const live = model.live();
    const act = (verb: string) => void model.command(`/api/alarms/${alarm.id}/${verb}`);
    return (
        <>
            {can_acknowledge(alarm) && (
                <button type="button" class="firm" disabled={!live} onClick={() => act("acknowledge")}>
                    acknowledge
                </button>
            )}
            {can_acknowledge(alarm) && !alarm.silenced && !is_over(alarm) && (
                <button type="button" disabled={!live} onClick={() => void model.command("/api/alarms/silence")}>
                    silence
                </button>
            )}
            {can_reset(alarm) && (
                <button type="button" class="firm" disabled={!live} onClick={() => act("reset")}>
                    reset
                </button>
            )}
        </>
    );
}
