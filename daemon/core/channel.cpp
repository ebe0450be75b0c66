#include "core/channel.hpp"

#include <array>
#include <utility>

namespace drumwatch {
namespace {

struct Span {
    Milli low;
    Milli high;
};

/// Indexed by Unit. A little room below zero and above full scale: instruments drift, and that is no fault.
constexpr std::array<Span, 7> kUsualSpans{{{-50'000, 1'000'000},
                                           {-5'000, 110'000},
                                           {-5'000, 500'000},
                                           {-10'000, 200'000},
                                           {-50'000, 100'000'000},
                                           {-1'000'000, 1'000'000'000},
                                           {-1'000'000, 1'000'000'000}}};

Role role_of(std::string_view name, Unit unit) {
    if (name == "drum" && unit == Unit::rpm) return Role::drum_speed;
    const Role role = role_from_name(name).value_or(Role::other);
    return unit_fits(role, unit) ? role : Role::other;
}

}  // namespace

bool unit_fits(Role role, Unit unit) {
    switch (role) {
        case Role::burner:
        case Role::airflow:
            return unit == Unit::percent || unit == Unit::kilopascal || unit == Unit::none;
        case Role::drum_speed:
            return unit == Unit::rpm || unit == Unit::percent;
        case Role::gas:
            return unit == Unit::kilopascal || unit == Unit::percent;
        case Role::carbon_monoxide:
            return unit == Unit::ppm;
        case Role::other:
            return true;
        default:
            return unit == Unit::celsius;
    }
}

Channel make_channel(std::string name, Unit unit) {
    Channel channel;
    channel.role = role_of(name, unit);
    channel.name = std::move(name);
    channel.unit = unit;
    const Span span = kUsualSpans[static_cast<std::size_t>(unit)];
    channel.span_low_milli = span.low;
    channel.span_high_milli = span.high;
    return channel;
}

}  // namespace drumwatch
