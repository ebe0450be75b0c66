#include <doctest/doctest.h>

#include "sample.hpp"
#include "web/metrics.hpp"

using namespace drumwatch;

namespace {

bool has_line(const std::string& text, const std::string& line) {
    return ("\n" + text).find("\n" + line + "\n") != std::string::npos;
}

}  // namespace

TEST_CASE("metrics name channels, qualities and alarms") {
    const std::string text = metrics_text(sample_published(), sample_facts(), {5, 2, 0.25});
    INFO(text);
    CHECK(has_line(text, "# TYPE drumwatch_ticks counter"));
    CHECK(has_line(text, "drumwatch_ticks_total 2368"));
    CHECK(has_line(text, "drumwatch_snapshot_age_seconds 0.25"));
    CHECK(has_line(text, "drumwatch_http_connections 5"));
    CHECK(has_line(text, "drumwatch_http_streams 2"));
    CHECK(has_line(text, "drumwatch_record_writing 1"));
    CHECK(has_line(text, "drumwatch_channel_value{channel=\"bean\",unit=\"°C\"} 187.4"));
    CHECK(text.find("drumwatch_channel_value{channel=\"exhaust\"") == std::string::npos);
    CHECK(has_line(
        text, "drumwatch_channel_quality{channel=\"exhaust\",drumwatch_channel_quality=\"open_circuit\"} 1"));
    CHECK(has_line(text,
                   "drumwatch_channel_quality{channel=\"exhaust\",drumwatch_channel_quality=\"good\"} 0"));
    CHECK(has_line(text, "drumwatch_alarms_active{priority=\"medium\"} 1"));
    CHECK(has_line(text, "drumwatch_alarms_active{priority=\"high\"} 0"));  // latched, but over
    CHECK(text.ends_with("\n# EOF\n"));
    CHECK(text.find("# EOF") == text.size() - 6);
}

TEST_CASE("before the first snapshot the server speaks of itself only") {
    const std::string text = metrics_text({}, sample_facts(), {1, 0, {}});
    CHECK(has_line(text, "drumwatch_http_connections 1"));
    CHECK(text.find("ticks") == std::string::npos);
    CHECK(text.find("age") == std::string::npos);
    CHECK(text.ends_with("# EOF\n"));
}

TEST_CASE("label values are escaped") {
    // OpenMetrics 1.0, escaped-string: backslash, double quote, line feed (from memory).
    StationFacts facts = sample_facts();
    facts.station = "a\\b\"c\nd";
    CHECK(metrics_text({}, facts, {}).find("station=\"a\\\\b\\\"c\\nd\"") != std::string::npos);
}
