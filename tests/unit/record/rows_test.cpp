#include "record/rows.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "support/random.hpp"
#include "support/sample_record.hpp"

namespace drumwatch {

TEST_CASE("channels come back as they were") {
    ChannelTable channels = sample_channels();
    channels[2].span_low_milli = -1;
    channels[2].max_age_ms = 12'345;
    const auto back = channels_from_json(channels_to_json(channels));
    REQUIRE(back.ok());
    REQUIRE(back.value().size() == channels.size());
    for (std::size_t i = 0; i < channels.size(); ++i) {
        CHECK(back.value()[i].name == channels[i].name);
        CHECK(back.value()[i].role == channels[i].role);
        CHECK(back.value()[i].unit == channels[i].unit);
        CHECK(back.value()[i].span_low_milli == channels[i].span_low_milli);
        CHECK(back.value()[i].span_high_milli == channels[i].span_high_milli);
        CHECK(back.value()[i].max_age_ms == channels[i].max_age_ms);
    }
}

TEST_CASE("a verdict comes back with every number exact") {
    Verdict verdict;
    verdict.roast = 12;
    verdict.disposition = Disposition::hold;
    verdict.reasons.push_back(
        {VerdictRule::far_outside, Disposition::hold, 0.1 + 0.2, 1e-17, -2.2, -1, Control::burner, 1.0 / 3});
    verdict.reasons.push_back({VerdictRule::first_of_day, Disposition::clear,
                               std::numeric_limits<double>::quiet_NaN(), 0, 0, 7, Control::airflow, 60});
    const auto back = verdict_from_json(verdict_to_json(verdict));
    REQUIRE(back.ok());
    REQUIRE(back.value().has_value());
    const Verdict& read = *back.value();
    CHECK(read.roast == 12);
    CHECK(read.disposition == Disposition::hold);
    REQUIRE(read.reasons.size() == 2);
    CHECK(read.reasons[0].rule == VerdictRule::far_outside);
    CHECK(read.reasons[0].calls_for == Disposition::hold);
    CHECK(read.reasons[0].value == 0.1 + 0.2);
    CHECK(read.reasons[0].limit == 1e-17);
    CHECK(read.reasons[0].extra == -2.2);
    CHECK(read.reasons[0].level == 1.0 / 3);
    CHECK(std::isnan(read.reasons[1].value));
    CHECK(read.reasons[1].index == 7);
    CHECK(read.reasons[1].control == Control::airflow);
    CHECK(!verdict_from_json("").value().has_value());
}

TEST_CASE("text that is not ours is an error in a sentence") {
    for (const char* text : {"", "{", "null", "7", "[]x", "[1]", "{\"a\":1e999}", "[{\"name\":\"\"}]",
                             "[{\"name\":\"bean\",\"unit\":\"c\",\"span_low_milli\":1.5}]"}) {
        CAPTURE(text);
        const auto channels = channels_from_json(text);
        CHECK(!channels.ok());
        CHECK(channels.error().size() > 10);
    }
    CHECK(!milestones_from_json("[]").ok());
    CHECK(!milestones_from_json(R"({"drop":{"at_ms":"soon"}})").ok());
    CHECK(!milestones_from_json(R"({"drop":{"at_ms":99999999999999999999,"bean_milli":1,"source":"mark"}})")
               .ok());
    CHECK(milestones_from_json(R"({"something_new":{}})").ok());
    CHECK(!verdict_from_json(R"({"roast":1,"disposition":"splendid","reasons":[]})").ok());
    CHECK(!verdict_from_json(R"({"roast":1,"disposition":"clear","reasons":[{"rule":"no_drop"}]})").ok());
    const std::string deep(100'000, '[');
    CHECK(!channels_from_json(deep).ok());
    CHECK(!channels_from_json(deep + std::string(100'000, ']')).ok());
}

TEST_CASE("a row's JSON with bytes changed is read or refused, never worse") {
    const RoastRecord roast = sample_roast_row(3, 1, 1000, 600);
    const std::string texts[] = {verdict_to_json(roast.verdict), milestones_to_json(roast.milestones),
                                 channels_to_json(sample_channels())};
    for (std::uint64_t seed = 1; seed <= 3000; ++seed) {
        CAPTURE(seed);
        TestRandom random(seed);
        for (std::string text : texts) {
            text[random.below(text.size())] = static_cast<char>(random.bits());
            (void)verdict_from_json(text).ok();
            (void)milestones_from_json(text).ok();
            (void)channels_from_json(text).ok();
        }
    }
    CHECK(verdict_from_json(texts[0]).ok());
}

}  // namespace drumwatch
