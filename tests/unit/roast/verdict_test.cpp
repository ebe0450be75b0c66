#include <doctest/doctest.h>

#include <cmath>
#include <functional>

#include "core/words.hpp"
#include "roast/verdict/deviation_sum.hpp"
#include "roast/verdict/verdict.hpp"
#include "support/targets.hpp"

using namespace drumwatch;

namespace {

constexpr double kDrop_s = 660;

struct Roast {
    Trace trace;
    TargetCurve curve{share(straight_target())};
    FixedList<MoveView, kMaxMoves> moves;
    Tick drop{static_cast<std::int64_t>(kDrop_s * 1000)};

    bool burner_known = true;

    explicit Roast(const std::function<double(double)>& deviation, Target target = straight_target())
        : curve(share(std::move(target))) {
        for (std::int64_t ms = 0; ms <= drop.ms; ms += 250) {
            const double t = static_cast<double>(ms) / 1000;
            const double off = deviation(t);
            const bool good = off < 100;  // 100 and more: no reading
            const auto bean = static_cast<float>(good ? curve.bean_at(t) + off : 0);
            trace.add({Tick{ms}, good, bean, good, bean});
        }
    }
    DeviationSummary kept() const {
        DeviationSum sum;
        sum.start(&curve, Tick{0});
        return sum.until(trace, drop);
    }
    Verdict verdict(bool judge_trial = false) const {
        JudgedBatch batch;
        batch.roast = 7;
        batch.drop = drop;
        batch.target = &curve;
        batch.moves = &moves;
        batch.judge_trial = judge_trial;
        batch.control_known[0] = burner_known;
        return judge(batch, kept());
    }
};

/// `size` between two instants, else nothing.
std::function<double(double)> bump(double size, double from_s, double to_s) {
    return [=](double t) { return t >= from_s && t <= to_s ? size : 0.0; };
}

MoveView judged_move(MoveJudgement judgement, double error_s) {
    MoveView move;
    move.planned = 0;
    move.planned_level = 60;
    move.made_level = 60;
    move.planned_at_s = 300;
    move.made_at_s = 300 + error_s;
    move.error_s = error_s;
    move.judgement = judgement;
    return move;
}

}  // namespace

TEST_CASE("a kept curve is clear, without reasons") {
    const Verdict verdict = Roast([](double) { return 0.6; }).verdict();
    CHECK(verdict.disposition == Disposition::clear);
    CHECK(verdict.reasons.empty());
    CHECK(verdict.roast == 7);
}

TEST_CASE("outside for more than fifteen seconds on end asks for a cup, less does not") {
    CHECK(Roast(bump(1.3, 300, 315)).verdict().disposition == Disposition::clear);
    const Verdict verdict = Roast(bump(-1.3, 300, 320)).verdict();
    CHECK(verdict.disposition == Disposition::taste);
    CHECK(verdict.reasons[0].rule == VerdictRule::outside);
    CHECK(verdict.reasons[0].value > 16);  // a leap's edges are averaged, a drum's curve has none
    CHECK(verdict.reasons[0].value <= 20);
    CHECK(verdict.reasons[0].extra == doctest::Approx(-1.3).epsilon(0.001));
}

TEST_CASE("far outside is set aside") {
    const Verdict verdict = Roast(bump(2.5, 300, 330)).verdict();
    CHECK(verdict.disposition == Disposition::hold);
    CHECK(verdict.reasons[0].rule == VerdictRule::far_outside);
}

TEST_CASE("nothing is judged before 150 s nor after the target's own drop") {
    CHECK(Roast(bump(5, 60, 149)).verdict().disposition == Disposition::clear);
    Target shorter = straight_target();
    shorter.milestones[static_cast<std::size_t>(Milestone::drop)] = TargetMilestone{500, 168.0};
    const Roast late(bump(5, 505, 600), shorter);
    CHECK(late.kept().outside_s == doctest::Approx(0));
}

TEST_CASE("end temperature: 1.1 to 2.2 a cup, beyond that set aside") {
    const Verdict near = Roast(bump(1.0, 650, 660)).verdict();
    CHECK(near.disposition == Disposition::clear);
    const Verdict taste = Roast(bump(1.5, 650, 660)).verdict();
    CHECK(taste.disposition == Disposition::taste);
    CHECK(taste.reasons[0].rule == VerdictRule::end_temperature);
    CHECK(taste.reasons[0].value == doctest::Approx(1.5).epsilon(0.02));
    CHECK(Roast(bump(-2.6, 650, 660)).verdict().disposition == Disposition::hold);
}

TEST_CASE("moves: late or missed asks for a cup, an extra one is only listed") {
    Roast roast([](double) { return 0.0; });
    roast.moves.push_back(judged_move(MoveJudgement::late, 45));
    Verdict verdict = roast.verdict();
    CHECK(verdict.disposition == Disposition::taste);
    CHECK(verdict.reasons[0].rule == VerdictRule::move_off);
    CHECK(verdict.reasons[0].value == doctest::Approx(45));
    roast.moves[0] = judged_move(MoveJudgement::missed, 0);
    CHECK(roast.verdict().reasons[0].rule == VerdictRule::move_missed);
    roast.moves[0] = judged_move(MoveJudgement::extra, 0);
    roast.moves[0].planned = -1;
    verdict = roast.verdict();
    CHECK(verdict.disposition == Disposition::clear);
    REQUIRE(verdict.reasons.size() == 1);
    CHECK(verdict.reasons[0].rule == VerdictRule::extra_move);
}

TEST_CASE("moves of a control that nothing shows are unknown together, and not called missed") {
    Roast roast([](double) { return 0.0; });
    roast.burner_known = false;
    roast.moves.push_back(judged_move(MoveJudgement::missed, 0));
    roast.moves.push_back(judged_move(MoveJudgement::missed, 0));
    roast.moves.push_back(judged_move(MoveJudgement::missed, 0));
    roast.moves.back().control = Control::airflow;
    const Verdict verdict = roast.verdict();
    CHECK(verdict.disposition == Disposition::taste);
    REQUIRE(verdict.reasons.size() == 2);
    CHECK(verdict.reasons[0].rule == VerdictRule::move_missed);
    CHECK(verdict.reasons[0].control == Control::airflow);
    CHECK(verdict.reasons[1].rule == VerdictRule::moves_unknown);
    CHECK(words(verdict.reasons[1]) ==
          "No burner level was read and no burner move tapped: its 2 planned moves can't be judged.");
}

TEST_CASE("nobody knows where the curve was in a long gap: a stretch outside does not go on through it") {
    const auto around = [](double gap_s) {
        return Roast([=](double t) {
                   if (t >= 300 && t < 300 + gap_s) return 100.0;  // no reading
                   return t >= 290 && t <= 310 + gap_s ? 3.0 : 0.0;
               })
            .kept();
    };
    CHECK(around(10).far_outside_s == doctest::Approx(30).epsilon(0.1));
    CHECK(around(10).outside_total_s == doctest::Approx(30).epsilon(0.1));
    CHECK(around(100).far_outside_s == doctest::Approx(10).epsilon(0.2));
    CHECK(around(100).outside_total_s == doctest::Approx(20).epsilon(0.2));
}

TEST_CASE("missing readings leave it unjudged, unless it is to be set aside anyhow") {
    const auto blind = [](double t) { return t >= 300 && t <= 320 ? 100.0 : 0.0; };
    CHECK(Roast(blind).verdict().disposition == Disposition::unjudged);
    const auto blind_and_off = [](double t) {
        return t >= 300 && t <= 320 ? 100.0 : t > 400 && t < 430 ? 3.0 : 0.0;
    };
    const Verdict verdict = Roast(blind_and_off).verdict();
    CHECK(verdict.disposition == Disposition::hold);
    CHECK(verdict.reasons.size() >= 2);
}

TEST_CASE(
    "nothing read before the drop: the end temperature is not known, and no stretch is called five seconds") {
    const Verdict verdict = Roast([](double t) { return t > 654 ? 100.0 : 0.0; }).verdict();
    CHECK(verdict.disposition == Disposition::unjudged);
    REQUIRE(verdict.reasons.size() == 1);
    CHECK(verdict.reasons[0].rule == VerdictRule::end_unread);
    CHECK(words(verdict.reasons[0]) ==
          "No good reading in the last 5 s before the drop: the end temperature is not known.");
}

TEST_CASE("what was read after the drop is no deviation of the roast") {
    Roast roast([](double t) { return t > 640 ? -30.0 : 0.2; });
    roast.drop = Tick{640'000};
    CHECK(roast.kept().max_c == doctest::Approx(0.2).epsilon(0.01));
}

TEST_CASE("no target and a trial target are unjudged, a rerun judges a trial one and says so") {
    JudgedBatch batch;
    const Verdict none = judge(batch, {});
    CHECK(none.disposition == Disposition::unjudged);
    CHECK(none.reasons[0].rule == VerdictRule::no_target);
    Target trial = straight_target();
    trial.status = TargetStatus::trial;
    const Roast roast([](double) { return 0.0; }, trial);
    CHECK(roast.verdict().disposition == Disposition::unjudged);
    CHECK(roast.verdict(true).disposition == Disposition::clear);
    CHECK(roast.verdict(true).reasons[0].rule == VerdictRule::trial_target);
    trial.status = TargetStatus::retired;
    const Verdict retired = Roast([](double) { return 0.0; }, trial).verdict(true);
    CHECK(words(retired.reasons[0]) ==
          "The target is a retired one: it is no longer what this coffee is judged by.");
}

TEST_CASE("a spike in the last seconds is no part of the end temperature") {
    Roast roast([](double) { return 0.2; });
    const double plain_c = *roast.kept().end_c;
    Roast spiked([](double t) { return t == 658 ? 25 : 0.2; });
    CHECK(std::fabs(*spiked.kept().end_c - plain_c) < 0.02);
}
