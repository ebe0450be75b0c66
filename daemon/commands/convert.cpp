// drumwatch convert: what a person with a calibrator in hand asks, and a pipe of a million numbers.
#include <fmt/format.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <array>
#include <cerrno>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>

#include "commands/commands.hpp"
#include "commands/complaint.hpp"
#include "commands/conversion.hpp"

namespace drumwatch {
namespace {

constexpr std::string_view kOutOfRange = "out-of-range";
constexpr std::size_t kLongestLine = 4096;

struct ConvertCall {
    std::string thermocouple;
    std::string rtd;
    std::string millivolts;
    std::string ohms;
    std::string celsius;
    std::string cold_junction;
    bool json = false;
};

std::string_view trimmed(std::string_view text) {
    constexpr std::string_view kBlanks = " \t\r";
    const std::size_t begin = text.find_first_not_of(kBlanks);
    if (begin == std::string_view::npos) return {};
    return text.substr(begin, text.find_last_not_of(kBlanks) - begin + 1);
}

/// A decimal number with a point, whatever the locale; "nan" and "inf" are in no range.
std::optional<double> number_in(std::string_view text) {
    text = trimmed(text);
    if (text.starts_with('+') && !text.starts_with("+-")) text.remove_prefix(1);
    double value = 0;
    const char* const end = text.data() + text.size();
    const auto [stop, error] = std::from_chars(text.data(), end, value);
    if (text.empty() || error != std::errc() || stop != end) return std::nullopt;
    return value;
}

/// Fills in which sensor; an empty sentence when the call makes sense.
std::string read_sensor(const ConvertCall& call, Conversion& conversion) {
    if (call.thermocouple.empty() == call.rtd.empty())
        return "give either --thermocouple (K, J, T, E, N, R, S or B) or --rtd (pt100 or pt1000)";
    if (!call.rtd.empty()) {
        if (call.rtd != "pt100" && call.rtd != "pt1000")
            return fmt::format("--rtd \"{}\": pt100 or pt1000 would be right", call.rtd);
        conversion.rtd = call.rtd == "pt100" ? RtdType::pt100 : RtdType::pt1000;
        return {};
    }
    if (call.thermocouple.size() == 1) conversion.thermocouple = thermocouple_type(call.thermocouple.front());
    if (conversion.thermocouple != nullptr) return {};
    return fmt::format("--thermocouple \"{}\": K, J, T, E, N, R, S or B would be right", call.thermocouple);
}

std::string read_cold_junction(const ConvertCall& call, Conversion& conversion) {
    if (call.cold_junction.empty()) return {};
    if (conversion.thermocouple == nullptr) return "--cold-junction is for a thermocouple; leave it out";
    const auto celsius = number_in(call.cold_junction);
    if (!celsius) return fmt::format("--cold-junction \"{}\" is no number of °C", call.cold_junction);
    const auto millivolts = millivolts_from_celsius(*conversion.thermocouple, *celsius);
    if (!millivolts) {
        const ThermocoupleRange& range = conversion.thermocouple->range;
        return fmt::format("--cold-junction {:g} °C: type {} is defined from {:g} to {:g} °C", *celsius,
                           conversion.thermocouple->letter, range.low_c, range.high_c);
    }
    conversion.cold_junction_c = *celsius;
    conversion.cold_junction_mv = *millivolts;
    return {};
}

/// Which way; `number` is what was given.
std::string read_number(const ConvertCall& call, Conversion& conversion, std::string& number) {
    const bool thermocouple = conversion.thermocouple != nullptr;
    const std::string& right = thermocouple ? call.millivolts : call.ohms;
    const std::string& wrong = thermocouple ? call.ohms : call.millivolts;
    if (!wrong.empty())
        return thermocouple ? "a thermocouple gives --millivolts and not --ohms"
                            : "a resistance thermometer has --ohms and not --millivolts";
    if (right.empty() == call.celsius.empty())
        return fmt::format(
            "give either {} or --celsius: a number, or - for one number a line on standard input",
            thermocouple ? "--millivolts" : "--ohms");
    conversion.to_celsius = call.celsius.empty();
    number = conversion.to_celsius ? right : call.celsius;
    return {};
}

void print_json(const Conversion& conversion, double given, double value,
                const std::vector<ClassThatHolds>& classes) {
    nlohmann::ordered_json json;
    json["sensor"] = conversion.thermocouple != nullptr ? std::string(1, conversion.thermocouple->letter)
                                                        : sensor_name(conversion);
    json["given"] = given;
    json["given_unit"] = unit_in(conversion);
    if (conversion.thermocouple != nullptr) json["cold_junction_c"] = conversion.cold_junction_c;
    json["value"] = number_in(in_digits(conversion, value)).value_or(value);
    json["unit"] = unit_out(conversion);
    json["tolerance"] = nlohmann::ordered_json::array();
    for (const ClassThatHolds& one : classes) {
        nlohmann::ordered_json item{{"class", one.name},
                                    {"plus_minus_c", std::round(one.plus_minus_c * 1e4) / 1e4}};
        if (conversion.thermocouple == nullptr) {
            item["wire_wound"] = one.wire_wound;
            item["thin_film"] = one.thin_film;
        }
        json["tolerance"].push_back(item);
    }
    fmt::print("{}\n", json.dump());
}

void print_words(const Conversion& conversion, double value, const std::vector<ClassThatHolds>& classes) {
    fmt::print("{} {}\n", in_digits(conversion, value), unit_out(conversion));
    if (classes.empty()) {
        fmt::print("no tolerance class of {} holds there\n", tolerance_standard(conversion));
        return;
    }
    fmt::print("tolerance as delivered ({}):", tolerance_standard(conversion));
    const char* before = " ";
    for (const ClassThatHolds& one : classes) {
        const char* only = one.wire_wound && one.thin_film ? ""
                           : one.wire_wound                ? " (wire-wound)"
                                                           : " (thin film)";
        fmt::print("{}class {} ± {:.2f} °C{}", before, one.name, one.plus_minus_c, only);
        before = ", ";
    }
    fmt::print("\n");
}

int convert_one(const Conversion& conversion, const std::string& text, bool json) {
    const auto given = number_in(text);
    if (!given) return complain(fmt::format("\"{}\" is no number of {}", text, unit_in(conversion)));
    const auto value = convert(conversion, *given);
    if (!value)
        return complain(fmt::format("{} {} is outside what {} has: {} would be right", trimmed(text),
                                    unit_in(conversion), sensor_name(conversion), range_in(conversion)));
    const auto classes = classes_at(conversion, conversion.to_celsius ? *value : *given);
    if (json)
        print_json(conversion, *given, *value, classes);
    else
        print_words(conversion, *value, classes);
    return std::fflush(stdout) == 0 ? kDone : kFailed;
}

/// Lines as they come in, so that a pipe has its answers without waiting for the end.
class Lines {
  public:
    explicit Lines(const Conversion& conversion) : conversion_(conversion) {}

    /// An exit code.
    int run() {
        std::array<char, 1 << 16> chunk;
        for (;;) {
            const ssize_t count = ::read(STDIN_FILENO, chunk.data(), chunk.size());
            if (count < 0 && errno == EINTR) continue;
            if (count < 0) {
                fmt::print(stderr, "standard input can't be read\n");
                return kFailed;
            }
            const int code = take({chunk.data(), static_cast<std::size_t>(count)}, count == 0);
            if (code != kDone || count == 0) return code;
        }
    }

  private:
    int take(std::string_view bytes, bool at_end) {
        waiting_ += bytes;
        std::string_view rest = waiting_;
        bool right = true;
        for (std::size_t end = rest.find('\n'); right && end != std::string_view::npos;
             end = rest.find('\n')) {
            right = answer(rest.substr(0, end));
            rest.remove_prefix(end + 1);
        }
        if (right && !rest.empty() && (at_end || rest.size() > kLongestLine)) right = answer(rest);
        waiting_ = std::string(rest);
        const bool written = std::fwrite(answers_.data(), 1, answers_.size(), stdout) == answers_.size() &&
                             std::fflush(stdout) == 0;
        answers_.clear();
        if (!right)
            return complain(fmt::format("line {} is no number of {}; the answers end before it", line_,
                                        unit_in(conversion_)));
        if (!written) fmt::print(stderr, "standard output can't be written\n");
        return written ? kDone : kFailed;
    }

    bool answer(std::string_view line) {
        ++line_;
        const auto given = number_in(line);
        if (!given) return false;
        const auto value = convert(conversion_, *given);
        answers_ += value ? in_digits(conversion_, *value) : std::string(kOutOfRange);
        answers_ += '\n';
        return true;
    }

    const Conversion& conversion_;
    std::string waiting_;  ///< the beginning of a line
    std::string answers_;
    std::size_t line_ = 0;
};

int run_convert(const ConvertCall& call) {
    Conversion conversion;
    std::string number;
    std::string wrong = read_sensor(call, conversion);
    if (wrong.empty()) wrong = read_cold_junction(call, conversion);
    if (wrong.empty()) wrong = read_number(call, conversion, number);
    if (wrong.empty() && number == "-" && call.json)
        wrong = "--json is for one number; with - each line of the answer is a bare number";
    if (!wrong.empty()) return complain(wrong);
    return number == "-" ? Lines(conversion).run() : convert_one(conversion, number, call.json);
}

}  // namespace

void add_convert(CLI::App& app, int& exit_code) {
    CLI::App* command = app.add_subcommand(
        "convert", "Turn a sensor's millivolts or ohms into degrees Celsius, or back, with its tolerance");
    const auto call = std::make_shared<ConvertCall>();
    command->add_option("--thermocouple", call->thermocouple, "type K, J, T, E, N, R, S or B");
    command->add_option("--rtd", call->rtd, "resistance thermometer: pt100 or pt1000");
    command->add_option("--millivolts", call->millivolts,
                        "a thermocouple's emf; - reads one number a line from standard input");
    command->add_option("--ohms", call->ohms, "a resistance thermometer's resistance, or -");
    command->add_option("--celsius", call->celsius, "a temperature, or -: the other way round");
    command->add_option("--cold-junction", call->cold_junction,
                        "temperature in °C where the thermocouple's wires end; left out: 0");
    command->add_flag("--json", call->json, "print one JSON object");
    command->callback([call, &exit_code] { exit_code = run_convert(*call); });
}

}  // namespace drumwatch
