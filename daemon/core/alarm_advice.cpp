#include "core/alarm_advice.hpp"

#include <array>

namespace drumwatch {

namespace {

// In the order of AlarmRule.
constexpr std::array<AlarmAdvice, kAlarmRules> kTable{{
    {AlarmRule::bean_high_high, "bean overtemperature",
     "the batch stayed in too long; a fire in the drum or in chaff; a probe that reads too high",
     "beans may burn; a fire may begin or spread",
     "Follow the machine's manual and the site's fire plan. If in doubt leave and call the fire service.", 10,
     "operator; limit: site", true},
    {AlarmRule::bean_high, "beans hotter than planned",
     "the drop was missed; a wrong target is loaded; a burner above its plan",
     "the coffee is darker than meant; further on, smoke and fire",
     "Drop the batch if it is done, as the machine's manual says. Look at the target that is loaded.", 15,
     "operator; margin: head roaster", false},
    {AlarmRule::exhaust_high, "exhaust too hot",
     "too much heat or too little air; chaff that burns; a blocked duct",
     "chaff and soot in the duct may catch fire",
     "Follow the machine's manual and the site's fire plan. If in doubt leave and call the fire service.", 10,
     "operator; limit: site", true},
    {AlarmRule::inlet_high, "inlet air too hot", "too much heat; too little air; a control that stands still",
     "the machine is strained; chaff may catch fire",
     "Follow the machine's manual and the site's fire plan. If in doubt leave and call the fire service.", 10,
     "operator; limit: site", true},
    {AlarmRule::drum_high, "drum metal too hot",
     "too much heat; a drum that does not turn; an empty drum under heat",
     "beans scorch; the drum may suffer",
     "Follow the machine's manual and the site's fire plan. If in doubt leave and call the fire service.", 10,
     "operator; limit: site", true},
    {AlarmRule::drift, "drift from the target",
     "a move that was missed, late or to a wrong level; another weight; a cold machine",
     "the batch needs a cup, or is held",
     "Look at the next planned move and at what was moved last. The batch may need a cup.", 30,
     "operator; tolerance: head roaster", false},
    {AlarmRule::stall, "the rise has stopped",
     "too little heat; too much air; an open door; a probe that is stuck", "the coffee bakes and tastes flat",
     "Look at the plan, the door and the burner's own display. If the flame is out, follow the machine's "
     "manual: it says who may do what.",
     30, "operator; limit: head roaster", false},
    {AlarmRule::runaway_rise, "it rises much faster than planned",
     "a move that was missed or to a wrong level; a small batch; an exothermic rush",
     "the batch runs ahead of the plan; the end comes sooner than you think",
     "Look at the next planned move and be ready to drop.", 15, "operator; margin: head roaster", false},
    {AlarmRule::drop_overdue, "the drop is overdue",
     "nobody at the machine; the discharge is stuck; a wrong target is loaded",
     "the coffee gets too dark; further on, smoke and fire",
     "Drop the batch as the machine's manual says. If the discharge is stuck, follow the manual and the "
     "site's fire plan.",
     10, "operator; margin: head roaster", false},
    {AlarmRule::flame_out, "the burner may be out",
     "flame failure; gas or power that failed; a probe in the exhaust that fails",
     "unburnt gas may gather; the batch is lost",
     "Do not try to light it from here: follow the machine's manual and the site's rules. If you smell gas, "
     "leave and call for help as the site's plan says.",
     10, "operator; burner: licensed technician", true},
    {AlarmRule::oxidiser_cold, "oxidiser below its permit temperature",
     "it was switched on late; its burner failed; too much air",
     "smoke and smell leave the stack; the permit is broken",
     "Look at the oxidiser's own display and follow the permit's and its manual's instructions. Note it in "
     "the log.",
     300, "operator; setting: holder of the permit", false},
    {AlarmRule::cooling_slow, "the tray cools slowly",
     "a blocked sieve or filter; a fan that stands still; a hot room; too much in the tray",
     "the coffee goes on roasting; it may be packed hot",
     "Look at the cooling fan, the sieve and the stirrer. Keep the batch apart until it is cool.", 60,
     "operator; time: head roaster", false},
    {AlarmRule::carbon_monoxide_high, "carbon monoxide: danger",
     "a burner, a duct or a door that leaks; fresh coffee in a closed room",
     "people are poisoned without noticing",
     "Follow the site's plan for carbon monoxide. If in doubt leave, warn the others and call for help.", 0,
     "everyone; limit: site, local code", true},
    {AlarmRule::carbon_monoxide, "carbon monoxide in the room",
     "poor ventilation; fresh coffee in bins; a burner or duct that leaks",
     "people feel ill, and it may rise further",
     "Follow the site's plan for carbon monoxide. If in doubt leave, warn the others and call for help.", 60,
     "everyone; limit: site, local code", true},
    {AlarmRule::bean_probe_fault, "bean probe fault",
     "a broken or loose probe, plug or cable; an instrument without power",
     "neither the bean temperature nor an overtemperature can be seen",
     "The bean temperature can't be seen, nor can an overtemperature. Follow the machine's manual. Look at "
     "the probe, its plug and its cable.",
     10, "operator; probe: maintenance", false},
    {AlarmRule::probe_fault, "probe fault",
     "a broken or loose probe, plug or cable; an instrument without power",
     "what that probe shows is missing, and its alarms with it",
     "Look at the probe, its plug and its cable. Its alarms can't sound until it is mended.", 600,
     "maintenance", false},
    {AlarmRule::bus_silent, "a bus does not answer",
     "a cable, a plug, the power of the instrument, or its address",
     "what is behind it can't be seen, nor can its alarms sound",
     "The machine's values can't be seen. Follow the machine's manual. Look at the cable, the power of the "
     "instrument and its address.",
     10, "operator; cable: maintenance", false},
    {AlarmRule::record_failing, "readings are not being recorded",
     "a full or failing disk; a card that came loose", "this batch has no record",
     "Following and alarms go on from memory. Look at the disk: free space, card, power. Note this batch by "
     "hand.",
     300, "operator; disk: maintenance", false},
    {AlarmRule::disk_low, "the disk is nearly full", "other files on the disk; a small budget",
     "soon nothing can be recorded", "Make room on the record's disk, or give the record a smaller budget.",
     3600, "maintenance", false},
    {AlarmRule::clock_doubtful, "the clock may be wrong",
     "no time server can be reached; the clock was set by hand",
     "times of day in the record may be wrong; after a power cut the gap is not known",
     "Look at the box's network and its time server.", 3600, "maintenance", false},
    {AlarmRule::processor_hot, "the box is too hot", "sun, a warm machine beside it, dust",
     "it slows down, and may stop", "Give the box air and shade. Alarms may come late until it is cool.", 600,
     "maintenance", false},
    {AlarmRule::sounder_failed, "a sounder has failed",
     "a cable, a relay board without power, a player that is missing", "alarms may not be heard",
     "Look at the sounder named here, its cable and its power, and test it again. Until then keep the page "
     "in sight.",
     60, "operator; sounder: maintenance", false},
}};

constexpr bool is_whole(const std::array<AlarmAdvice, kAlarmRules>& table) {
    for (std::size_t i = 0; i < table.size(); ++i) {
        const AlarmAdvice& row = table[i];
        const bool says_all = !row.title.empty() && !row.causes.empty() && !row.consequence.empty() &&
                              !row.action.empty() && !row.owner.empty() && row.time_allowed_s >= 0;
        if (row.rule != static_cast<AlarmRule>(i) || !says_all) return false;
    }
    return true;
}
static_assert(is_whole(kTable), "each alarm needs causes, consequence, action, time allowed and owner");

}  // namespace

const AlarmAdvice& advice(AlarmRule rule) { return kTable[static_cast<std::size_t>(rule)]; }

ShownAdvice shown_advice(AlarmRule rule, const SiteAdvices& site, const std::string& site_card) {
    const AlarmAdvice& row = advice(rule);
    const SiteAdvice& own = site[static_cast<std::size_t>(rule)];
    const bool card = row.site_card && !site_card.empty();
    return {card ? site_card : own.response.value_or(std::string(row.action)),
            own.causes.value_or(std::string(row.causes)),
            own.consequence.value_or(std::string(row.consequence)),
            own.time_allowed_s.value_or(row.time_allowed_s), own.owner.value_or(std::string(row.owner))};
}

}  // namespace drumwatch
