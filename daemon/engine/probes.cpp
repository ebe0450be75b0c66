// What the machine's probes say of each other: faults and doubts that one reading alone does not show.
#include <algorithm>
#include <cstdlib>

#include "engine/engine.hpp"

namespace drumwatch {

namespace {

constexpr std::int64_t kHeatKept_ms = 1'000;
constexpr Milli kLeap = 20'000;  ///< from one reading to the next
/// In the roaster's heat or that of its exhaust. A tray or a room may well be cold beside a hot machine.
constexpr Role kHeated[] = {Role::bean, Role::exhaust, Role::inlet, Role::drum, Role::oxidiser};

bool is_heated(Role role) {
    return std::find(std::begin(kHeated), std::end(kHeated), role) != std::end(kHeated);
}

/// A fault of the probe itself: a silent bus has an alarm of its own.
bool is_fault(Quality quality) {
    return !has_value(quality) && quality != Quality::never_read && quality != Quality::bus_silent;
}

/// The one that moves when this one does, so that resting beside it is a fault; an oxidiser keeps its
/// setpoint.
std::optional<Role> moves_with(Role role) {
    if (role == Role::bean) return Role::exhaust;
    if (role == Role::exhaust || role == Role::inlet || role == Role::drum) return Role::bean;
    return std::nullopt;
}

}  // namespace

/// For the alarms, whenever a quality or a doubt has changed. The bean probe's faults have an alarm of their
/// own.
void Engine::rate(std::size_t index) {
    const ChannelState& state = channels_[index];
    const auto bit = static_cast<std::uint16_t>(1u << index);
    const auto set = [bit](std::uint16_t& bits, bool on) {
        bits = static_cast<std::uint16_t>(on ? bits | bit : bits & ~bit);
    };
    const bool faulty = is_fault(state.quality) && roles_[static_cast<std::size_t>(Role::bean)] != index;
    set(silent_channels_, state.quality == Quality::bus_silent);
    set(faulty_channels_, faulty || state.doubt != ProbeDoubt::none);
}

/// Of the bean probe, found only with coffee in the drum: an empty one may rest.
Quality Engine::unless_frozen(Quality judged, const Sample& sample, Tick now) {
    if (!roasting_) {
        if (sample.fresh) bean_still_.rest(sample.value_milli);
    } else if (sample.fresh && has_value(judged)) {
        const auto* exhaust = channel(Role::exhaust);
        bean_still_.add(now, sample.value_milli, batches_[current_].rise_per_min().value_or(0),
                        exhaust && exhaust->line ? std::optional(exhaust->line->value) : std::nullopt);
    }
    return is_good(judged) && bean_still_.frozen() ? Quality::frozen : judged;
}

void Engine::feel_heat(Tick now) {
    if (heat_.at.ms >= 0 && now - heat_.at < kHeatKept_ms) return;
    const auto told = [](const ChannelState& state) { return state.ever_fresh && is_good(state.quality); };
    heat_ = {};
    heat_.at = now;
    const auto* ambient = channel(Role::ambient);
    if (ambient && told(*ambient)) heat_.room_c = from_milli(ambient->value_milli);
    for (const Role role : kHeated) {
        const auto& index = roles_[static_cast<std::size_t>(role)];
        if (!index || !told(channels_[*index])) continue;
        const double celsius = from_milli(channels_[*index].value_milli);
        if (celsius > heat_.hottest_c) {
            heat_.second_c = heat_.hottest_c;
            heat_.hottest_c = celsius;
            heat_.hottest = *index;
        } else {
            heat_.second_c = std::max(heat_.second_c, celsius);
        }
    }
}

Surroundings Engine::around(std::size_t index, Tick now) {
    feel_heat(now);
    Surroundings around;
    around.room_c = heat_.room_c;
    const double other_c = heat_.hottest == index ? heat_.second_c : heat_.hottest_c;
    if (other_c > kNone_c) around.hottest = other_c;
    const auto mover = moves_with(begin_.settings.channels[index].role);
    const auto* moving = mover ? channel(*mover) : nullptr;
    if (moving && moving->ever_fresh && is_good(moving->quality))
        around.moving_c = from_milli(moving->value_milli);
    return around;
}

Quality Engine::beside_others(std::size_t index, Quality judged, const Sample& sample, Tick now) {
    ChannelState& state = channels_[index];
    if (sample.quality != Quality::good) return state.watched = judged;
    if (!sample.fresh) return state.watched;
    const bool calm = is_good(state.watched) && is_good(judged) && state.looked_at_in != second_phase_ &&
                      std::abs(sample.value_milli - state.value_milli) < kLeap;
    if (!calm)
        state.watched = state.watch.judge(judged, from_milli(sample.value_milli), now, around(index, now));
    return state.watched;
}

void Engine::doubt_twin(std::size_t index, Tick now) {
    const Channel& channel = begin_.settings.channels[index];
    ChannelState& own = channels_[index];
    const ChannelState& twin = channels_[*channel.twin];
    if (!is_good(own.quality) || !is_good(twin.quality) || !own.line || !twin.line) return;
    own.twin.add(now, own.line->value, twin.line->value, own.line->per_second * 60,
                 twin.line->per_second * 60, from_milli(channel.twin_limit_milli));
}

/// Once a second, each channel at another tick.
void Engine::doubt_probes(Tick now) {
    for (std::size_t i = second_phase_; i < channels_.size(); i += each_second_) {
        ChannelState& state = channels_[i];
        if (!state.has_twin && state.doubt == ProbeDoubt::none && state.noise.knows(state.smoother.spikes()))
            continue;
        state.noise.take(now, state.smoother.spikes());
        if (state.has_twin) doubt_twin(i, now);
        state.doubt = state.twin.apart()    ? ProbeDoubt::apart_from_twin
                      : state.noise.noisy() ? ProbeDoubt::noisy
                                            : ProbeDoubt::none;
        rate(i);
    }
}

void Engine::know_heated() {
    each_second_ = static_cast<std::size_t>(std::max<std::int64_t>(1, 1'000 / begin_.settings.tick_ms));
    std::size_t heated = 0;
    for (std::size_t i = 0; i < channels_.size(); ++i) {
        const Channel& channel = begin_.settings.channels[i];
        ChannelState& state = channels_[i];
        state.heated = channel.unit == Unit::celsius && is_heated(channel.role);
        state.has_twin = channel.twin && *channel.twin < channels_.size();
        if (state.heated) state.looked_at_in = heated++ % each_second_;
    }
}

}  // namespace drumwatch
