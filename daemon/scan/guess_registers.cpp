#include "scan/guess_registers.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <optional>
#include <set>
#include <tuple>
#include <utility>

#include "drivers/sensors/decode.hpp"

namespace drumwatch {
namespace {

constexpr int kMoved = 8;
constexpr int kRound = -15;
constexpr int kHolding = -5;
constexpr int kFahrenheit = -20;
constexpr int kEvenAddress = 2;  // where makers begin a value of two registers (common practice, no source)
constexpr int kMostVotes = 8;    // of its neighbours for a float's order
constexpr std::size_t kRun = 4;  // so many in a row are a pattern
constexpr std::size_t kOthers = 2;
constexpr int kFarBehind = 45;
constexpr int kDoubtful = 55;
constexpr int kHot = 60;

struct Weighed {
    RegisterForm form;
    int points;
};

std::vector<Weighed> all_forms() {
    using enum DataType;
    using enum WordOrder;
    std::vector<Weighed> forms{{{float32, abcd, 1}, 90},  {{float32, cdab, 1}, 88},  {{int16, abcd, 0.1}, 80},
                               {{float32, badc, 1}, 65},  {{float32, dcba, 1}, 64},  {{int16, abcd, 1}, 60},
                               {{int16, abcd, 0.01}, 40}, {{uint16, abcd, 0.01}, 30}};
    for (const WordOrder order : {abcd, cdab, badc, dcba}) {
        const int points = order == abcd || order == cdab ? 35 : 45;
        forms.push_back({{int32, order, 0.1}, points});
        forms.push_back({{int32, order, 1}, points - 4});
        forms.push_back({{int32, order, 0.01}, points - 8});
        forms.push_back({{uint32, order, 0.01}, points - 12});
    }
    const std::size_t celsius = forms.size();
    for (std::size_t i = 0; i < celsius; ++i) {
        Weighed one = forms[i];
        one.form.fahrenheit = true;
        one.points += kFahrenheit;
        forms.push_back(one);
    }
    return forms;
}

using Words = std::map<std::uint16_t, std::uint16_t>;

std::optional<double> celsius_at(const Words& words, std::uint16_t address, const RegisterForm& form,
                                 double high_c = kPlausibleHigh_c) {
    const auto first = words.find(address);
    if (first == words.end()) return std::nullopt;
    std::uint16_t second = 0;
    if (register_count(form.type) == 2) {
        const auto next = std::next(first);
        if (next == words.end() || next->first != address + 1) return std::nullopt;
        second = next->second;
    }
    const double value = raw_value(form.type, form.order, first->second, second) * form.scale;
    const double celsius = form.fahrenheit ? in_channel_unit(SourceUnit::fahrenheit, value) : value;
    if (!std::isfinite(celsius) || celsius < kPlausibleLow_c || celsius > high_c) return std::nullopt;
    return celsius;
}

/// Addresses in a run of kRun or more with one step between their values, none of which moved: 1, 2, 3, 4 and
/// the same word again and again are no measurements.
std::set<std::uint16_t> patterns(const RegisterImage& image) {
    std::set<std::uint16_t> found;
    std::vector<std::pair<std::uint16_t, std::uint16_t>> run;
    const auto close = [&] {
        if (run.size() >= kRun)
            for (const auto& [address, word] : run) found.insert(address);
    };
    const auto follows = [&](std::uint16_t address, std::uint16_t word) {
        if (run.empty() || address != run.back().first + 1) return false;
        return run.size() == 1 || word - run.back().second == run[1].second - run[0].second;
    };
    for (const auto& [address, word] : image.first) {
        const auto again = image.second.find(address);
        if (again != image.second.end() && again->second != word) {
            close();
            run.clear();
            continue;
        }
        if (!follows(address, word)) {
            close();
            const bool neighbour = !run.empty() && address == run.back().first + 1;
            run = neighbour ? decltype(run){run.back()} : decltype(run){};
        }
        run.emplace_back(address, word);
    }
    close();
    return found;
}

/// How many neighbours, two registers apart, are plausible in the same form.
int votes(const RegisterImage& image, std::uint16_t address, const RegisterForm& form) {
    int count = 0;
    for (const int step : {-2, 2}) {
        for (int at = address + step; count < kMostVotes && at >= 0 && at < 65535; at += step) {
            if (!celsius_at(image.first, static_cast<std::uint16_t>(at), form)) break;
            ++count;
        }
    }
    return count;
}

std::optional<RegisterGuess> guess_at(const RegisterImage& image, std::uint16_t address,
                                      const Weighed& weighed, const std::set<std::uint16_t>& pattern,
                                      double high_c = kPlausibleHigh_c) {
    const RegisterForm& form = weighed.form;
    const auto before = celsius_at(image.first, address, form, high_c);
    if (!before) return std::nullopt;
    RegisterGuess guess{image.unit_id, image.table, address, form, *before, *before, weighed.points};
    if (image.second.contains(address)) {
        const auto now = celsius_at(image.second, address, form, high_c);
        if (!now || std::fabs(*now - *before) > kSteadyWithin_c) return std::nullopt;
        guess.celsius = *now;
        guess.moved = *now != *before;
    }
    const std::uint16_t word = image.first.at(address);
    if (form.type == DataType::float32) {
        guess.points += votes(image, address, form);
    } else if (pattern.contains(address)) {
        return std::nullopt;
    } else if (!guess.moved && word % 100 == 0) {
        guess.points += kRound;
    }
    if (register_count(form.type) == 2 && address % 2 == 0) guess.points += kEvenAddress;
    if (guess.moved) guess.points += kMoved;
    if (image.table == RegisterTable::holding) guess.points += kHolding;
    return guess;
}

bool likelier(const RegisterGuess& one, const RegisterGuess& other) {
    if (one.points != other.points) return one.points > other.points;
    if (one.table != other.table) return one.table == RegisterTable::input;
    if (one.unit_id != other.unit_id) return one.unit_id < other.unit_id;
    return one.address < other.address;
}

using Place = std::tuple<std::uint8_t, RegisterTable, int>;

bool same_place(const RegisterGuess& one, const RegisterGuess& other) {
    return one.unit_id == other.unit_id && one.table == other.table && one.address == other.address;
}

/// Many devices show the same registers in both tables.
bool mirrors(const RegisterImage& holding, const std::vector<RegisterImage>& images) {
    constexpr int kAlike = 20;  // counts, for a measurement that moves between the questions
    if (holding.table != RegisterTable::holding) return false;
    return std::any_of(images.begin(), images.end(), [&](const RegisterImage& input) {
        if (input.table != RegisterTable::input || input.unit_id != holding.unit_id) return false;
        return std::all_of(holding.first.begin(), holding.first.end(), [&](const auto& one) {
            const auto same = input.first.find(one.first);
            return same != input.first.end() && std::abs(int{same->second} - int{one.second}) <= kAlike;
        });
    });
}

class Accepting {
  public:
    /// Likelier ones first.
    void take(const RegisterGuess& guess) {
        if (guess.form.fahrenheit && celsius_seen_) return add_to_others(guess);
        const int last = guess.address + register_count(guess.form.type) - 1;
        const bool taken = used_.contains({guess.unit_id, guess.table, guess.address}) ||
                           used_.contains({guess.unit_id, guess.table, last});
        if (taken) return add_to_others(guess);
        for (int at = guess.address; at <= last; ++at) used_.insert({guess.unit_id, guess.table, at});
        list_.push_back(guess);
        list_.back().shown_before = was_shown(guess);
        celsius_seen_ = celsius_seen_ || !guess.form.fahrenheit;
    }
    std::vector<RegisterGuess> list() && { return std::move(list_); }
    const std::vector<RegisterGuess>& so_far() const { return list_; }

  private:
    bool was_shown(const RegisterGuess& guess) const {
        constexpr double kRounded = 0.06;  // of a value that stands once in tenths
        return std::any_of(list_.begin(), list_.end() - 1, [&](const RegisterGuess& other) {
            return guess.moved && other.unit_id == guess.unit_id && other.form.type != guess.form.type &&
                   std::fabs(other.before_c - guess.before_c) < kRounded &&
                   std::fabs(other.celsius - guess.celsius) < kRounded;
        });
    }
    void add_to_others(const RegisterGuess& guess) {
        const auto same = std::find_if(list_.begin(), list_.end(),
                                       [&](const RegisterGuess& one) { return same_place(one, guess); });
        if (same != list_.end() && same->others.size() < kOthers && guess.points >= same->points - kFarBehind)
            same->others.push_back(guess);
    }

    std::vector<RegisterGuess> list_;
    std::set<Place> used_;
    bool celsius_seen_ = false;
};

/// Hotter than is plausible by itself, built as the likeliest of the same table.
std::vector<RegisterGuess> hot_ones(const std::vector<RegisterImage>& images,
                                    const std::vector<RegisterGuess>& likely) {
    std::vector<RegisterGuess> hot;
    for (const RegisterImage& image : images) {
        std::set<std::pair<DataType, double>> tried;
        for (const RegisterGuess& model : likely) {
            if (model.unit_id != image.unit_id || model.table != image.table || !model.moved) continue;
            if (!tried.insert({model.form.type, model.form.scale}).second) continue;
            for (const auto& [address, word] : image.first) {
                auto guess = guess_at(image, address, {model.form, kHot}, {}, kHotHigh_c);
                if (guess && guess->moved && guess->celsius > kPlausibleHigh_c) hot.push_back(*guess);
            }
        }
    }
    std::stable_sort(hot.begin(), hot.end(), likelier);
    return hot;
}

}  // namespace

std::vector<RegisterGuess> guess_registers(const std::vector<RegisterImage>& images) {
    static const std::vector<Weighed> forms = all_forms();
    std::vector<RegisterGuess> all;
    for (const RegisterImage& image : images) {
        if (mirrors(image, images)) continue;
        const auto pattern = patterns(image);
        for (const auto& [address, word] : image.first)
            for (const Weighed& form : forms)
                if (auto guess = guess_at(image, address, form, pattern)) all.push_back(std::move(*guess));
    }
    std::stable_sort(all.begin(), all.end(), likelier);
    Accepting accepting;
    const auto doubtful =
        std::find_if(all.begin(), all.end(), [](const RegisterGuess& one) { return one.points < kDoubtful; });
    for (auto at = all.begin(); at != doubtful; ++at) accepting.take(*at);
    for (const RegisterGuess& hot : hot_ones(images, accepting.so_far())) accepting.take(hot);
    for (auto at = doubtful; at != all.end(); ++at) accepting.take(*at);
    return std::move(accepting).list();
}

bool is_likely(const RegisterGuess& guess) {
    return guess.points >= kDoubtful && (guess.moved || guess.table == RegisterTable::input);
}

std::string words(const RegisterForm& form) {
    static constexpr std::array kTypes{"int16", "uint16", "int32", "uint32", "float32"};
    static constexpr std::array kOrders{"ABCD", "CDAB", "BADC", "DCBA"};
    std::string text = kTypes[static_cast<std::size_t>(form.type)];
    if (register_count(form.type) == 2)
        text += fmt::format(" {}", kOrders[static_cast<std::size_t>(form.order)]);
    if (form.scale != 1) text += fmt::format(", scale {}", form.scale);
    return text + (form.fahrenheit ? ", °F" : ", °C");
}

}  // namespace drumwatch
