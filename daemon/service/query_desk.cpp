#include "service/query_desk.hpp"

#include <boost/asio/executor_work_guard.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/post.hpp>

#include <fmt/format.h>
#include <algorithm>
#include <charconv>
#include <nlohmann/json.hpp>
#include <optional>
#include <thread>

#include "service/alarm_json.hpp"
#include "service/export_roast.hpp"
#include "service/local_time.hpp"
#include "service/roast_json.hpp"
#include "service/target_epoch.hpp"
#include "web/http.hpp"

namespace drumwatch {

namespace {

constexpr std::size_t kRoastsAtOnce = 100;
constexpr int kMostDays = 366;  // of alarms

QueryAnswer problem(int status, const std::string& detail) {
    QueryAnswer answer;
    answer.status = status;
    answer.content_type = "application/problem+json";
    const char* title = status == 404   ? "Not Found"
                        : status == 422 ? "Unprocessable Content"
                                        : "Internal Server Error";
    answer.body = nlohmann::ordered_json{
        {"type", "about:blank"},
        {"title", title},
        {"status", status},
        {"detail",
         detail}}.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
    return answer;
}

QueryAnswer json_answer(std::string body) {
    QueryAnswer answer;
    answer.body = std::move(body);
    return answer;
}

std::optional<std::uint64_t> number(std::string_view text) {
    std::uint64_t value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
    return value;
}

/// The value of `key` in a raw query string such as "limit=20&before=7".
std::optional<std::uint64_t> query_number(std::string_view query, std::string_view key,
                                          std::uint64_t otherwise) {
    while (!query.empty()) {
        const std::string_view item = query.substr(0, query.find('&'));
        query.remove_prefix(std::min(item.size() + 1, query.size()));
        const std::size_t equals = item.find('=');
        if (item.substr(0, equals) != key) continue;
        return equals == std::string_view::npos ? std::nullopt : number(item.substr(equals + 1));
    }
    return otherwise;
}

QueryAnswer roasts(RecordReader& reader, const std::string& query) {
    const auto limit = query_number(query, "limit", 20);
    const auto before = query_number(query, "before", 0);
    if (!limit || !before) return problem(422, "limit and before are whole numbers");
    auto found = reader.roasts(std::min<std::size_t>(*limit, kRoastsAtOnce), *before);
    if (!found) return problem(500, found.error());
    std::vector<JudgedRoast> judged;
    for (RoastRecord& row : found.value()) {
        auto roast = judged_again(reader, std::move(row));
        if (!roast) return problem(500, roast.error());
        judged.push_back(std::move(roast.value()));
    }
    return json_answer(roasts_json(judged));
}

QueryAnswer roast_csv(RecordReader& reader, std::uint64_t id) {
    const auto file = export_roast(reader, id);
    if (!file) return problem(500, file.error());
    QueryAnswer answer = json_answer(write_roast_csv(file.value()));
    answer.content_type = "text/csv; charset=utf-8";
    answer.file_name = fmt::format("roast-{}.csv", id);
    return answer;
}

QueryAnswer one_roast(RecordReader& reader, std::string_view which) {
    const bool csv = which.ends_with(".csv");
    const auto id = number(csv ? which.substr(0, which.size() - 4) : which);
    if (!id) return problem(404, "roasts are numbered: /api/roasts/17");
    const auto found = reader.roast(*id);
    if (!found) return problem(500, found.error());
    if (!found.value()) return problem(404, fmt::format("there is no roast {} in the record", *id));
    if (csv) return roast_csv(reader, *id);
    const auto judged = judged_again(reader, *found.value());
    return judged ? json_answer(roast_json(judged.value())) : problem(500, judged.error());
}

QueryAnswer one_target(const std::vector<TargetRow>& targets, std::string_view name) {
    for (const TargetRow& row : targets) {
        if (row.name == name) return json_answer(row.json);
    }
    return problem(404, fmt::format("there is no target called \"{}\": /api/targets lists them", name));
}

/// So that other questions do not wait for long. False: more was asked for.
bool bounded(AlarmQuestion& question) {
    if (!question.from) return true;
    const WallTime longest = local_day_of(*question.from, kMostDays);
    if (!question.to) question.to = longest;
    return question.to->unix_ms <= longest.unix_ms;
}

QueryAnswer alarm_figures_of(RecordReader& reader, const std::string& query) {
    auto question = alarm_question(query_value(query, "from"), query_value(query, "to"));
    if (!question) return problem(422, question.error());
    if (!bounded(question.value()))
        return problem(422, fmt::format("ask for at most {} days; drumwatch alarms takes more", kMostDays));
    const auto log = read_alarm_log(reader, question.value());
    if (!log) return problem(500, log.error());
    return json_answer(alarm_figures_json(log.value(), alarm_figures(log.value()), -1));
}

QueryAnswer answer_of(RecordReader& reader, const std::string& path, const std::string& query) {
    if (path == "roasts") return roasts(reader, query);
    if (path.starts_with("roasts/")) return one_roast(reader, std::string_view(path).substr(7));
    if (path == "alarms/figures") return alarm_figures_of(reader, query);
    return problem(404, "no such question");
}

}  // namespace

struct QueryDesk::Impl {
    Impl(std::string path, std::vector<TargetRow> offered)
        : record_path(std::move(path)),
          targets(std::move(offered)),
          work(io.get_executor()),
          thread([this] { io.run(); }) {}
    ~Impl() {
        work.reset();
        thread.join();
    }

    QueryAnswer answer(const std::string& path, const std::string& query, const std::string& chosen) {
        if (path == "targets") return json_answer(targets_json(targets, doubts(), chosen));
        if (path.starts_with("targets/")) return one_target(targets, std::string_view(path).substr(8));
        const std::string why_not = open();
        return why_not.empty() ? answer_of(*reader, path, query) : problem(500, why_not);
    }

    /// Where the record can't be read, nothing is doubted: the list is needed all the same.
    std::vector<std::string> doubts() {
        std::vector<std::string> doubts(targets.size());
        if (!open().empty()) return doubts;
        const auto log = reader->probe_log();
        if (!log || !bean_epoch(log.value())) return doubts;
        for (std::size_t i = 0; i < targets.size(); ++i) {
            const auto kept = reader->target(targets[i].name, targets[i].version);
            if (kept && kept.value())
                doubts[i] = epoch_doubt(log.value(), targets[i].name, kept.value()->stored);
        }
        return doubts;
    }

    /// Empty: the reader is there.
    std::string open() {
        if (reader) return {};
        auto opened = RecordReader::open(record_path);
        if (!opened) return opened.error();
        reader = std::move(opened.value());
        return {};
    }

    const std::string record_path;
    std::vector<TargetRow> targets;        ///< query thread only
    std::unique_ptr<RecordReader> reader;  ///< query thread only
    boost::asio::io_context io;
    boost::asio::executor_work_guard<boost::asio::io_context::executor_type> work;
    std::thread thread;
};

QueryDesk::QueryDesk(std::string record_path, std::vector<TargetRow> offered)
    : impl_(std::make_unique<Impl>(std::move(record_path), std::move(offered))) {}
QueryDesk::~QueryDesk() = default;

void QueryDesk::offer(std::vector<TargetRow> offered) {
    run([impl = impl_.get(), offered = std::move(offered)]() mutable { impl->targets = std::move(offered); });
}

void QueryDesk::run(std::function<void()> slow) { boost::asio::post(impl_->io, std::move(slow)); }

void QueryDesk::look(std::function<void(RecordReader*, const std::string&)> look) {
    run([impl = impl_.get(), look = std::move(look)] {
        const std::string why_not = impl->open();
        look(why_not.empty() ? impl->reader.get() : nullptr, why_not);
    });
}

void QueryDesk::ask(std::string path, std::string query, std::string chosen_target, Answer answer) {
    boost::asio::post(impl_->io, [impl = impl_.get(), path = std::move(path), query = std::move(query),
                                  chosen = std::move(chosen_target),
                                  answer = std::move(answer)] { answer(impl->answer(path, query, chosen)); });
}

}  // namespace drumwatch
