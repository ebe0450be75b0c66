// What a temperature costs: the published inverse polynomial alone, the same with range choice and validity
// (celsius_by_published_inverse), and the answer within a millionth of a degree (celsius_from_millivolts).
// All in one run over the same emf values; the ratios are what counts. `bench_thermocouple`
//
// The polynomial alone is Horner's rule, unrolled, its piece known beforehand. Medians of many rounds. In
// order: a slow rise over the range, as a roast is; shuffled: the processor can't foresee which piece comes
// next.
// Look at several runs: where the loader happened to put the program, a row may cost 5 to 9 ns a value more,
// for as long as that run lasts (seen in some of three runs, on one row; not looked into further than that it
// goes with the addresses).
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <functional>
#include <numeric>
#include <tuple>
#include <vector>

#include "drivers/sensors/thermocouple.hpp"
#include "drivers/sensors/thermocouple_tables_base.hpp"
#include "drivers/sensors/thermocouple_tables_platinum.hpp"
#include "support/random.hpp"

namespace drumwatch {
namespace {

constexpr int kValues = 20'000;
constexpr int kRounds = 101;
double g_sum = 0;  // so that nothing is left out

using Values = std::vector<double>;

/// Answers go to a list: a sum would be carried from one to the next through memory, and cost more than they.
template <typename Work>
double once_ns(const Values& values, const Work& work) {
    Values answers(values.size());
    const auto begin = std::chrono::steady_clock::now();
    for (std::size_t i = 0; i < values.size(); ++i) answers[i] = work(values[i]);
    const std::chrono::duration<double, std::nano> took = std::chrono::steady_clock::now() - begin;
    g_sum += std::accumulate(answers.begin(), answers.end(), 0.0);
    return took.count() / static_cast<double>(values.size());
}

/// The polynomial alone, as a function of its own like the two others: unrolled, its terms one after the
/// other.
template <typename Type, std::size_t I>
[[gnu::noinline]] double horner(double mv) {
    static constexpr auto kC = std::get<I>(Type::inverse).coefficients;
    return [&]<std::size_t... Term>(std::index_sequence<Term...>) {
        double sum = kC.back();
        ((sum = sum * mv + kC[kC.size() - 2 - Term]), ...);
        return sum;
    }
    (std::make_index_sequence<kC.size() - 1>{});
}

/// Each piece over its own values.
template <typename Type, std::size_t I = 0>
double alone_ns(const std::vector<Values>& by_piece) {
    const double share = static_cast<double>(by_piece[I].size()) / kValues;
    double ns = share > 0 ? once_ns(by_piece[I], horner<Type, I>) * share : 0;
    if constexpr (I + 1 < std::tuple_size_v<decltype(Type::inverse)>) ns += alone_ns<Type, I + 1>(by_piece);
    return ns;
}

struct Costs {
    double polynomial_ns = 0;
    double published_ns = 0;
    double refined_ns = 0;
    double published_ratio() const { return published_ns / polynomial_ns; }
    double refined_ratio() const { return refined_ns / polynomial_ns; }
};

/// Of all rounds; a ratio is of one round, so that a processor that changes its speed does not count.
template <typename Number>
double median(const std::vector<Costs>& rounds, Number number) {
    std::vector<double> numbers;
    for (const Costs& costs : rounds) numbers.push_back(std::invoke(number, costs));
    std::nth_element(numbers.begin(), numbers.begin() + kRounds / 2, numbers.end());
    return numbers[kRounds / 2];
}

/// `by_piece` holds the same values as `values`, each with those of its piece.
template <typename Type>
Costs measure(const Values& values, const std::vector<Values>& by_piece) {
    const ThermocoupleType& type = *thermocouple_type(Type::letter);
    Costs costs;
    costs.polynomial_ns = alone_ns<Type>(by_piece);
    costs.published_ns =
        once_ns(values, [&](double mv) { return celsius_by_published_inverse(type, mv).value_or(0); });
    costs.refined_ns =
        once_ns(values, [&](double mv) { return celsius_from_millivolts(type, mv).value_or(0); });
    return costs;
}

template <typename Type>
std::vector<Costs> measured(bool shuffled) {
    const double low = std::get<0>(Type::inverse).low;
    const double high = thermocouple_type(Type::letter)->range.high_mv;
    Values values;
    for (int i = 0; i < kValues; ++i) values.push_back(low + (high - low) * (i + 0.5) / kValues);
    TestRandom random(8);
    for (std::size_t i = values.size(); shuffled && i-- > 1;)
        std::swap(values[i], values[random.below(i + 1)]);
    std::vector<double> lows;
    std::apply([&](const auto&... piece) { (lows.push_back(piece.low), ...); }, Type::inverse);
    std::vector<Values> by_piece(lows.size());
    for (const double mv : values) {
        std::size_t piece = 0;
        while (piece + 1 < lows.size() && mv > lows[piece + 1]) ++piece;
        by_piece[piece].push_back(mv);
    }
    std::vector<Costs> rounds;
    for (int round = 0; round < kRounds; ++round) rounds.push_back(measure<Type>(values, by_piece));
    return rounds;
}

void print(char letter, const char* order, const std::vector<Costs>& rounds) {
    fmt::print("{}     {:9}  {:10.2f} {:10.2f} {:10.2f}  {:11.2f} {:11.2f}\n", letter, order,
               median(rounds, &Costs::polynomial_ns), median(rounds, &Costs::published_ns),
               median(rounds, &Costs::refined_ns), median(rounds, &Costs::published_ratio),
               median(rounds, &Costs::refined_ratio));
}

/// Where no published inverse reaches; there is none to compare with but that of the next piece.
template <typename Type>
void run_below() {
    const ThermocoupleType& type = *thermocouple_type(Type::letter);
    const double high = std::get<0>(Type::inverse).low;
    Values values;
    for (int i = 0; i < kValues; ++i)
        values.push_back(type.range.low_mv + (high - type.range.low_mv) * (i + 0.5) / kValues);
    std::vector<Values> by_piece(std::tuple_size_v<decltype(Type::inverse)>);
    by_piece[0] = values;
    std::vector<Costs> rounds;
    for (int round = 0; round < kRounds; ++round) rounds.push_back(measure<Type>(values, by_piece));
    fmt::print("{}     below      {:10.2f}          - {:10.2f}            - {:11.2f}\n", Type::letter,
               median(rounds, &Costs::polynomial_ns), median(rounds, &Costs::refined_ns),
               median(rounds, &Costs::refined_ratio));
}

template <typename Type>
void run() {
    print(Type::letter, "in order", measured<Type>(false));
    print(Type::letter, "shuffled", measured<Type>(true));
}

}  // namespace
}  // namespace drumwatch

int main() {
    using namespace drumwatch;
    fmt::print("type  values     polynomial  published    refined  published/p   refined/p   (ns a value)\n");
    run<TypeK>();
    run<TypeJ>();
    run<TypeT>();
    run<TypeE>();
    run<TypeN>();
    run<TypeR>();
    run<TypeS>();
    run<TypeB>();
    run_below<TypeK>();
    run_below<TypeT>();
    run_below<TypeE>();
    run_below<TypeN>();
    return g_sum == 0 ? 1 : 0;
}
