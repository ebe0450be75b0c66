#include "backtest/backtest.hpp"

#include <future>
#include <optional>
#include <utility>

#include "backtest/read_ahead.hpp"
#include "files/json_object.hpp"

namespace drumwatch {

namespace {

class Backtest {
  public:
    Backtest(const BacktestOptions& options, const std::function<void(const BacktestFile&)>& each)
        : options_(options), each_(each), summary_(options.rerun.target, options.rerun.ignore_marks) {
        summary_.lessons = options.rerun.lessons;
    }

    void run(ReadRoast roast) {
        if (!roast.file) {
            hand_out();
            summary_.add_unreadable(roast.path, roast.file.error());
            each_({roast.path, roast.file.error(), {}, false, {}});
            return;
        }
        RerunResult result = rerun(roast.file.value(), options_.rerun);
        options_.rerun.lessons = result.lessons_after;
        hand_out();  // the one before: only one file at a time touches the summary
        finishing_ = std::async(
            std::launch::async,
            [this, roast = std::move(roast), result = std::move(result)] { return finish(roast, result); });
    }
    BacktestSummary end() {
        hand_out();
        return std::move(summary_);
    }

  private:
    BacktestFile finish(const ReadRoast& roast, const RerunResult& result) {
        summary_.add(roast.facts, result);
        BacktestFile file{roast.path, {}, roast.file.value().warnings, result.charged, {}};
        if (!roast.facts.truth.odd_verdict.empty())
            file.warnings.push_back("column verdict: " + quoted(roast.facts.truth.odd_verdict) +
                                    " is none of clear, taste, hold, unjudged: left out");
        if (options_.reports) file.report = report_json(result);
        return file;
    }
    void hand_out() {
        if (finishing_.valid()) each_(finishing_.get());
    }

    BacktestOptions options_;
    const std::function<void(const BacktestFile&)>& each_;
    BacktestSummary summary_;
    std::future<BacktestFile> finishing_;  // last: it uses the others
};

}  // namespace

BacktestSummary backtest(const std::vector<std::string>& paths, const BacktestOptions& options,
                         const std::function<void(const BacktestFile&)>& each) {
    std::optional<TargetCurve> target;
    if (options.rerun.target) target.emplace(options.rerun.target);
    ReadAhead files(paths, target ? &*target : nullptr);
    Backtest running(options, each);
    while (auto roast = files.next()) running.run(std::move(*roast));
    return running.end();
}

}  // namespace drumwatch
