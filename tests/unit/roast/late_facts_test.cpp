// A verdict given again once weight and colour are known.
#include <doctest/doctest.h>

#include "core/words.hpp"
#include "roast/verdict/late_facts.hpp"
#include "support/targets.hpp"

using namespace drumwatch;

namespace {

Verdict given(Disposition disposition) {
    Verdict verdict;
    verdict.roast = 7;
    verdict.disposition = disposition;
    if (disposition == Disposition::clear) return verdict;
    Reason reason;
    reason.rule = disposition == Disposition::hold ? VerdictRule::far_outside : VerdictRule::move_missed;
    reason.calls_for = disposition;
    verdict.reasons.push_back(reason);
    return verdict;
}

Disposition after(Disposition before, LateFacts facts) {
    return with_late_facts(given(before), facts, banded_target()).disposition;
}

}  // namespace

TEST_CASE("weight loss is a share of the charge, weighed or planned, and nothing where it can't be") {
    CHECK(*weight_loss_pct({std::nullopt, 10.2, std::nullopt}, banded_target()) == doctest::Approx(15));
    CHECK(*weight_loss_pct({11.8, 10.2, std::nullopt}, banded_target()) == doctest::Approx(100 * 1.6 / 11.8));
    CHECK_FALSE(weight_loss_pct({12.0, 12.5, std::nullopt}, banded_target()));
    CHECK_FALSE(weight_loss_pct({12.0, std::nullopt, std::nullopt}, banded_target()));
    CHECK_FALSE(weight_loss_pct({std::nullopt, 10.2, std::nullopt}, straight_target()));
}

TEST_CASE("a loss on the edge of the band lies within it, whatever the division leaves") {
    for (int charge_kg = 1; charge_kg <= 60; ++charge_kg) {
        CAPTURE(charge_kg);
        for (const double kept : {0.86, 0.85}) {  // 14 and 15 %
            const LateFacts facts{charge_kg, charge_kg * kept, std::nullopt};
            CHECK(after(Disposition::clear, facts) == Disposition::clear);
        }
        CHECK(after(Disposition::clear, {charge_kg, charge_kg * 0.8601, std::nullopt}) == Disposition::taste);
    }
}

TEST_CASE("a late weight out of the target's band asks for a cup, far out for holding, and never excuses") {
    const auto roasted = [](double kg) { return LateFacts{12.0, kg, std::nullopt}; };
    CHECK(after(Disposition::clear, roasted(10.26)) == Disposition::clear);  // 14.5 %
    CHECK(after(Disposition::clear, roasted(10.14)) == Disposition::taste);  // 15.5 %
    CHECK(after(Disposition::clear, roasted(10.01)) == Disposition::hold);   // 16.6 %
    CHECK(after(Disposition::clear, roasted(10.44)) == Disposition::taste);  // 13 %
    CHECK(after(Disposition::clear, roasted(10.50)) == Disposition::hold);   // 12.5 %
    CHECK(after(Disposition::hold, roasted(10.26)) == Disposition::hold);
    CHECK(after(Disposition::taste, roasted(10.01)) == Disposition::hold);
    CHECK(after(Disposition::clear, {std::nullopt, std::nullopt, 63.0}) == Disposition::taste);
    CHECK(after(Disposition::clear, {std::nullopt, std::nullopt, 57.0}) == Disposition::clear);
    CHECK(after(Disposition::clear, {std::nullopt, std::nullopt, 49.0}) == Disposition::hold);
}

TEST_CASE("a late fact set right takes the place of the one before, and says value and band") {
    const Verdict wrong = with_late_facts(given(Disposition::taste), {12.0, 9.0, 70.0}, banded_target());
    REQUIRE(wrong.reasons.size() == 3);
    CHECK(words(wrong.reasons[0]) == "Weight loss is 25.0 %; the target's is 14 to 15 %.");
    CHECK(words(wrong.reasons[1]) == "Colour is 70.0; the target's is 55 to 60.");
    const Verdict right = with_late_facts(wrong, {12.0, 10.26, 57.0}, banded_target());
    CHECK(right.disposition == Disposition::taste);
    REQUIRE(right.reasons.size() == 1);
    CHECK(right.reasons[0].rule == VerdictRule::move_missed);
    CHECK(right.roast == 7);
}

TEST_CASE("late facts stand even where the list of reasons is full") {
    Verdict full = given(Disposition::clear);
    Reason extra;
    extra.rule = VerdictRule::extra_move;
    while (full.reasons.push_back(extra)) {
    }
    CHECK(with_late_facts(full, {12.0, 9.0, std::nullopt}, banded_target()).disposition == Disposition::hold);
    CHECK(with_late_facts(full, {12.0, 9.0, std::nullopt}, straight_target()).disposition ==
          Disposition::clear);
}

TEST_CASE("each late fact says where it lies, or why it can't be judged") {
    const auto said = [](const LateFacts& facts, const Target& target) {
        std::string text;
        for (const LateFinding& finding : late_findings(facts, target)) text += words(finding) + "\n";
        return text;
    };
    CHECK(said({12.0, 10.26, 57.0}, banded_target()) ==
          "Weight loss is 14.5 %, within the target's 14 to 15 %.\nColour is 57.0, within the target's 55 to "
          "60.\n");
    CHECK(said({12.0, 10.14, 60.01}, banded_target()) ==
          "Weight loss is 15.5 %; the target's is 14 to 15 %.\nColour is 60.01; the target's is 55 to 60.\n");
    CHECK(said({12.0, 12.5, std::nullopt}, banded_target()) ==
          "Weight loss is not known: 12.5 kg can't come out of 12 kg; weigh again.\n");
    CHECK(said({std::nullopt, 10.2, 57.0}, straight_target()) ==
          "Weight loss is not known: the charge was not weighed, and the target does not state it.\n"
          "Colour is 57.0; the target states none, so it is not judged.\n");
    CHECK(said({12.0, std::nullopt, std::nullopt}, banded_target()).empty());
}
