// How the box itself is.
#include "alarms/rules/judging.hpp"

namespace drumwatch {

namespace {

void say(Judgements judged, const AlarmSettings& settings, AlarmRule rule, bool bad) {
    if (settings[rule].on) judged[rule].condition = bad ? Condition::active : Condition::clear;
}

}  // namespace

void judge_box(Judgements judged, const AlarmSettings& settings, const AlarmInputs& now) {
    say(judged, settings, AlarmRule::record_failing, now.record_failing);
    say(judged, settings, AlarmRule::sounder_failed, now.failed_sounders != 0);
    judged[AlarmRule::sounder_failed].members = now.failed_sounders;
}

void judge_box_at_leisure(Judgements judged, const AlarmSettings& settings, const AlarmInputs& now) {
    say(judged, settings, AlarmRule::disk_low, now.disk_low);
    say(judged, settings, AlarmRule::clock_doubtful, now.clock_unsynchronised || now.clock_stepped);
    judged[AlarmRule::clock_doubtful].value_milli = now.clock_stepped ? 1 : 0;
    if (now.clock_stepped)  // said at once: it is over soon
        judged[AlarmRule::clock_doubtful].held_ms = settings[AlarmRule::clock_doubtful].on_delay_ms;
    say(judged, settings, AlarmRule::processor_hot, now.processor_hot);
}

}  // namespace drumwatch
