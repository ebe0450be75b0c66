#include "web/probe_body.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <initializer_list>

namespace drumwatch {
namespace {

constexpr double kColdest_c = -273.15;
constexpr double kHottest_c = 2000;
constexpr double kLeast_hpa = 300;
constexpr double kMost_hpa = 1200;
constexpr int kMostPoints = 5;
constexpr std::size_t kLongestNote = 200;

template <typename Said>
Said begun(Fields& fields) {
    Said said;
    said.client_id = fields.text("client_id", true, 64);
    said.who = fields.text("who", true, 64);
    return said;
}

std::string one_of(Fields& fields, std::string_view key, std::initializer_list<std::string_view> words) {
    std::string word = fields.text(key, true, 32);
    if (std::find(words.begin(), words.end(), word) != words.end()) return word;
    std::string list;
    for (const std::string_view one : words) list += (list.empty() ? "" : ", ") + std::string(one);
    if (!word.empty()) fields.wrong(key, "Must be one of: " + list + ".");
    return word;
}

ProbeChecked read_check(Fields& fields) {
    auto said = begun<ProbeChecked>(fields);
    said.channel = fields.text("channel", true, 32);
    said.method = one_of(fields, "method", {"ice_point", "boiling_point", "comparison"});
    said.is_c = fields.number("is_c", said.method == "comparison", kColdest_c, kHottest_c);
    said.pressure_hpa = fields.number("pressure_hpa", false, kLeast_hpa, kMost_hpa);
    said.note = fields.text("note", false, kLongestNote);
    if (said.is_c && said.method != "comparison")
        fields.wrong("is_c", "Is of a comparison only: leave it out.");
    if (said.pressure_hpa && said.method != "boiling_point")
        fields.wrong("pressure_hpa", "Is of a boiling point only: leave it out.");
    return said;
}

ProbeCalibrated read_calibration(Fields& fields) {
    auto said = begun<ProbeCalibrated>(fields);
    said.channel = fields.text("channel", true, 32);
    for (int i = 1; i <= kMostPoints; ++i) {
        const std::string reads_key = fmt::format("reads_{}_c", i);
        const std::string is_key = fmt::format("is_{}_c", i);
        if (!fields.has(reads_key) && !fields.has(is_key)) continue;
        const auto reads = fields.number(reads_key, true, kColdest_c, kHottest_c);
        const auto is = fields.number(is_key, true, kColdest_c, kHottest_c);
        if (reads && is) said.points.push_back({*reads, *is});
    }
    said.note = fields.text("note", false, kLongestNote);
    return said;
}

ProbeChanged read_change(Fields& fields) {
    auto said = begun<ProbeChanged>(fields);
    said.channel = fields.text("channel", true, 32);
    said.what = one_of(fields, "what", {"wiped", "moved", "replaced"});
    said.note = fields.text("note", false, kLongestNote);
    return said;
}

TargetConfirmed read_confirmation(Fields& fields) {
    auto said = begun<TargetConfirmed>(fields);
    said.name = fields.text("name", true, 200);
    return said;
}

}  // namespace

bool is_of_probes(Endpoint endpoint) {
    return endpoint == Endpoint::probe_check || endpoint == Endpoint::probe_calibrate ||
           endpoint == Endpoint::probe_change || endpoint == Endpoint::confirm_target;
}

ProbeSaid read_probe_said(Endpoint endpoint, Fields& fields) {
    switch (endpoint) {
        case Endpoint::probe_check:
            return read_check(fields);
        case Endpoint::probe_calibrate:
            return read_calibration(fields);
        case Endpoint::probe_change:
            return read_change(fields);
        default:
            return read_confirmation(fields);
    }
}

}  // namespace drumwatch
