#include "drivers/capture/capture_folder.hpp"

#include <fcntl.h>
#include <fmt/core.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <condition_variable>
#include <cstring>
#include <ctime>
#include <mutex>
#include <thread>
#include <utility>

#include "drivers/capture/capture_text.hpp"

namespace drumwatch {
namespace {

using Clock = std::chrono::steady_clock;

constexpr std::chrono::seconds kBetweenFlushes{1};
constexpr std::size_t kMostWaiting = 8'000'000;  // bytes that the disk has not taken yet

std::string utc_stamp() {
    const std::time_t now = std::time(nullptr);
    std::tm utc{};
    ::gmtime_r(&now, &utc);
    char text[32];
    std::strftime(text, sizeof text, "%Y%m%dT%H%M%SZ", &utc);
    return text;
}

/// errno of what went wrong; 0 when all was written.
int write_all(int file, std::string_view text) {
    while (!text.empty()) {
        const ssize_t count = ::write(file, text.data(), text.size());
        if (count < 0 && errno == EINTR) continue;
        if (count < 0) return errno;
        text.remove_prefix(static_cast<std::size_t>(count));
    }
    return 0;
}

}  // namespace

struct CaptureFolder::Impl {
    struct File {
        int number = -1;
        CaptureHeader header;
        std::vector<std::size_t> place;  ///< in the header, by the channel's index
        std::string waiting;             ///< whole lines; under the mutex
    };

    ~Impl() {
        {
            const std::lock_guard lock(mutex);
            stopping = true;
        }
        wake.notify_one();
        if (thread.joinable()) thread.join();
        for (const File& file : files)
            if (file.number >= 0) ::close(file.number);
    }
    Result<Done> open_file(const BusConfig& bus, const ChannelTable& channels, const std::string& stamp);
    std::int64_t now_ms() const;
    void append(File& file, const std::string& line);
    void run();
    void write_waiting();
    void end_with(const std::string& why);

    CapturePlan plan;
    Tell tell;
    Clock::time_point began = Clock::now();
    std::vector<File> files;
    std::vector<std::string> paths;

    std::mutex mutex;
    std::condition_variable wake;
    // Under the mutex:
    bool stopping = false;
    bool ended = false;
    bool full = false;  ///< the cap is reached: what waits is written, then it ends
    std::uint64_t bytes = 0;
    std::size_t waiting_bytes = 0;
    std::uint64_t dropped = 0;

    std::thread thread;
};

Result<Done> CaptureFolder::Impl::open_file(const BusConfig& bus, const ChannelTable& channels,
                                            const std::string& stamp) {
    File file;
    file.header.bus = bus.name;
    file.header.inputs = bus.discrete_inputs;
    file.place.assign(channels.size(), 0);
    for (const ChannelSource& source : bus.channels) {
        file.place[source.channel] = file.header.channels.size();
        file.header.channels.push_back(channels[source.channel].name);
    }
    const std::string path = fmt::format("{}/{}-{}.jsonl", plan.folder, bus.name, stamp);
    file.number = ::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_APPEND | O_CLOEXEC, 0644);
    if (file.number < 0)
        return Error{
            fmt::format("--capture: {} can't be made: {}; name a folder that is there and may be "
                        "written to",
                        path, std::strerror(errno))};
    const std::string first = capture_header_line(file.header) + "\n";
    bytes += first.size();
    files.push_back(file);
    paths.push_back(path);
    if (const int error = write_all(file.number, first); error != 0)
        return Error{fmt::format("--capture: {}: {}", path, std::strerror(error))};
    return Done{};
}

/// The run goes on without it. On the capture's own thread.
void CaptureFolder::Impl::end_with(const std::string& why) {
    {
        const std::lock_guard lock(mutex);
        if (std::exchange(ended, true)) return;
    }
    tell(fmt::format("the capture in {} has ended: {}", plan.folder, why));
}

void CaptureFolder::Impl::write_waiting() {
    bool now_full = false;
    std::uint64_t lost = 0;
    std::vector<std::string> texts(files.size());
    {
        const std::lock_guard lock(mutex);
        if (ended) return;
        for (std::size_t i = 0; i < files.size(); ++i) texts[i] = std::exchange(files[i].waiting, {});
        waiting_bytes = 0;
        now_full = full;
        lost = std::exchange(dropped, 0);
    }
    for (std::size_t i = 0; i < files.size(); ++i)
        if (const int error = write_all(files[i].number, texts[i]); error != 0)
            return end_with(fmt::format("{}: {}", paths[i], std::strerror(error)));
    if (lost > 0) tell(fmt::format("the capture lost {} lines: the disk is too slow", lost));
    if (now_full) end_with(fmt::format("its {} MB are full", plan.most_bytes / 1'000'000));
}

void CaptureFolder::Impl::run() {
    bool last = false;
    while (!last) {
        {
            std::unique_lock lock(mutex);
            wake.wait_for(lock, kBetweenFlushes, [&] { return stopping; });
            last = stopping;
        }
        write_waiting();
    }
}

CaptureFolder::CaptureFolder(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {
    impl_->thread = std::thread([impl = impl_.get()] { impl->run(); });
}

CaptureFolder::~CaptureFolder() = default;

Result<std::unique_ptr<CaptureFolder>> CaptureFolder::open(const CapturePlan& plan,
                                                           const std::vector<BusConfig>& buses,
                                                           const ChannelTable& channels, Tell tell) {
    auto impl = std::make_unique<Impl>();
    impl->plan = plan;
    impl->tell = std::move(tell);
    const std::string stamp = utc_stamp();
    for (const BusConfig& bus : buses)
        if (const auto opened = impl->open_file(bus, channels, stamp); !opened) return Error{opened.error()};
    return std::unique_ptr<CaptureFolder>(new CaptureFolder(std::move(impl)));
}

std::int64_t CaptureFolder::Impl::now_ms() const {
    const std::chrono::duration<double, std::milli> since = Clock::now() - began;
    return static_cast<std::int64_t>(since.count() * plan.speed);
}

/// Whole, or not at all.
void CaptureFolder::Impl::append(File& file, const std::string& line) {
    const std::lock_guard lock(mutex);
    if (ended || full) return;
    if (waiting_bytes + line.size() > kMostWaiting) {
        ++dropped;
        return;
    }
    if (bytes + line.size() > plan.most_bytes) {
        full = true;
        return;
    }
    bytes += line.size();
    waiting_bytes += line.size();
    file.waiting += line;
}

void CaptureFolder::note(std::size_t bus, const PollOutcome& outcome) {
    Impl& impl = *impl_;
    Impl::File& file = impl.files[bus];  // header and places never change
    CapturedPoll poll{impl.now_ms(), outcome.link, {}, outcome.complaint};
    for (std::size_t i = 0; i < outcome.readings.size(); ++i) {
        const Reading& reading = outcome.readings[i];
        poll.readings.push_back({file.place.at(reading.channel), reading.value_milli, reading.quality,
                                 i < outcome.raws.size() ? outcome.raws[i] : RawValue{}});
    }
    if (!outcome.inputs.empty()) poll.inputs.resize(file.header.inputs.size());
    for (const InputLevel& level : outcome.inputs) poll.inputs.at(level.input) = level.on;
    impl.append(file, captured_poll_line(poll, file.header) + "\n");
}

void CaptureFolder::note_bytes(std::size_t bus, ByteWay way, std::span<const std::uint8_t> bytes) {
    CapturedBytes piece{impl_->now_ms(), way, {}};
    for (; !bytes.empty(); bytes = bytes.subspan(piece.bytes.size())) {
        const auto part = bytes.first(std::min(bytes.size(), kMaxCapturedBytes));
        piece.bytes.assign(part.begin(), part.end());
        impl_->append(impl_->files[bus], captured_bytes_line(piece) + "\n");
    }
}

const std::vector<std::string>& CaptureFolder::paths() const { return impl_->paths; }

}  // namespace drumwatch
