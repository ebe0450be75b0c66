#include "web/server.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <netinet/tcp.h>
#include <sys/socket.h>

#include <algorithm>
#include <boost/asio.hpp>
#include <deque>
#include <thread>

#include "web/peer.hpp"
#include "web/site.hpp"

namespace drumwatch {

namespace asio = boost::asio;
using asio::ip::tcp;
using boost::system::error_code;

void Mailbox::post(std::function<void()> task) {
    const std::lock_guard lock(mutex_);
    if (io_ != nullptr) asio::post(*io_, std::move(task));
}

void Mailbox::close() {
    const std::lock_guard lock(mutex_);
    io_ = nullptr;
}

namespace {

constexpr std::size_t kMostConnections = 64;
constexpr std::size_t kMostOfOneAddress = 8;
constexpr std::size_t kMostWaiting = 256;  ///< snapshots; a minute, should the web thread hang that long
constexpr std::chrono::milliseconds kAcceptPause{100};
constexpr std::chrono::seconds kCommentEvery{15};
constexpr unsigned kUnansweredLimit_ms = 20'000;  ///< a tablet that left the network is let go after this

void prepare(int socket) {
    const int on = 1;
    const unsigned limit_ms = kUnansweredLimit_ms;
    ::setsockopt(socket, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
    ::setsockopt(socket, IPPROTO_TCP, TCP_USER_TIMEOUT, &limit_ms, sizeof limit_ms);
    ::fcntl(socket, F_SETFD, FD_CLOEXEC);
}

class HttpServer final : public Server, public PeerHost {
  public:
    ~HttpServer() override {
        mailbox_->close();
        if (!thread_.joinable()) return;
        asio::post(io_, [this] { close_all(); });
        thread_.join();
    }

    void begin(ListeningPort port, const ServerSettings& settings, StationFacts facts, Api api) {
        port_ = port.port();
        acceptor_.assign(port.v6() ? tcp::v6() : tcp::v4(), port.release());
        site_.emplace(settings, port_, std::move(facts), std::move(api), page_assets());
        accept();
        comment_later();
        thread_ = std::thread([this] { run(); });
    }

    std::uint16_t port() const override { return port_; }

    void remember(Replay replay) override {
        mailbox_->post([this, replay = std::move(replay)] {
            replay([this](const Snapshot& snapshot) { site_->remember(snapshot); });
        });
    }

    void publish(Published now) override {
        const std::lock_guard lock(waiting_mutex_);
        if (waiting_.size() == kMostWaiting) waiting_.pop_front();
        waiting_.push_back(std::move(now));
        if (waiting_.size() == 1) mailbox_->post([this] { take_published(); });
    }

    asio::io_context& io() override { return io_; }
    Site& site() override { return *site_; }
    std::shared_ptr<Mailbox> mailbox() override { return mailbox_; }
    std::size_t connections() const override {
        return static_cast<std::size_t>(
            std::count_if(peers_.begin(), peers_.end(), [](const Entry& e) { return !e.peer.expired(); }));
    }
    std::size_t streams() const override {
        return static_cast<std::size_t>(
            std::count_if(peers_.begin(), peers_.end(), [](const Entry& e) { return !e.live.expired(); }));
    }

    void begin_stream(int socket, const Request& request, const Peer* from) override {
        const auto entry = std::find_if(peers_.begin(), peers_.end(),
                                        [&](const Entry& e) { return e.peer.lock().get() == from; });
        const auto client = start_live_client(*this, socket, request);
        if (entry == peers_.end() || stopping_) return client->close();
        entry->peer = client;
        entry->live = client;
    }

  private:
    struct Entry {
        std::string address;
        std::weak_ptr<Peer> peer;
        std::weak_ptr<LiveClient> live;  ///< empty: an ordinary connection
    };

    /// The last resort: whatever one request does, the others are served on.
    void run() {
        for (;;) {
            try {
                io_.run();
                return;
            } catch (const std::exception&) {
                continue;
            }
        }
    }

    void accept() {
        acceptor_.async_accept([this](error_code error, tcp::socket socket) {
            if (stopping_) return;
            if (error) return accept_after_a_pause();
            admit(std::move(socket));
            accept();
        });
    }

    /// Out of descriptors, for example: it would fail again at once.
    void accept_after_a_pause() {
        pause_.expires_after(kAcceptPause);
        pause_.async_wait([this](error_code error) {
            if (!error) accept();
        });
    }

    void admit(tcp::socket socket) {
        error_code error;
        const std::string address = socket.remote_endpoint(error).address().to_string();
        if (error) return;
        std::erase_if(peers_, [](const Entry& e) { return e.peer.expired(); });
        const auto of_address =
            std::count_if(peers_.begin(), peers_.end(), [&](const Entry& e) { return e.address == address; });
        const bool crowded = static_cast<std::size_t>(of_address) >= kMostOfOneAddress;
        if (crowded && !make_room(&address)) return;
        if (peers_.size() >= kMostConnections && !make_room(nullptr)) return;
        prepare(socket.native_handle());
        peers_.push_back({address, start_connection(*this, socket.release()), {}});
    }

    /// Closes the connection that has waited longest for a next request (of that address, if one is given),
    /// so that idle ones never keep a person out.
    bool make_room(const std::string* address) {
        auto longest = peers_.end();
        for (auto entry = peers_.begin(); entry != peers_.end(); ++entry) {
            const auto since = idle_since(*entry);
            if (!since || (address != nullptr && entry->address != *address)) continue;
            if (longest == peers_.end() || *since < *idle_since(*longest)) longest = entry;
        }
        if (longest == peers_.end()) return false;
        longest->peer.lock()->close();
        peers_.erase(longest);
        return true;
    }
    static std::optional<std::chrono::steady_clock::time_point> idle_since(const Entry& entry) {
        const auto peer = entry.peer.lock();
        return peer ? peer->idle_since() : std::nullopt;
    }

    void take_published() {
        std::deque<Published> taken;
        {
            const std::lock_guard lock(waiting_mutex_);
            taken.swap(waiting_);
        }
        for (Published& one : taken) site_->publish(std::move(one));
        for_each_stream([](LiveClient& client) { client.pump(); });
    }

    void comment_later() {
        comment_timer_.expires_after(kCommentEvery);
        comment_timer_.async_wait([this](error_code error) {
            if (error) return;
            for_each_stream([](LiveClient& client) { client.comment(); });
            comment_later();
        });
    }

    template <typename Action>
    void for_each_stream(Action action) {
        for (const Entry& entry : peers_) {
            if (const auto client = entry.live.lock()) action(*client);
        }
    }

    void close_all() {
        stopping_ = true;
        error_code ignored;
        acceptor_.close(ignored);
        pause_.cancel();
        comment_timer_.cancel();
        for (const Entry& entry : peers_) {
            if (const auto peer = entry.peer.lock()) peer->close();
        }
    }

    std::optional<Site> site_;
    std::vector<Entry> peers_;
    std::mutex waiting_mutex_;
    std::deque<Published> waiting_;
    std::uint16_t port_ = 0;
    bool stopping_ = false;
    // Last but the thread: what still waits in it is destroyed while the members above live.
    asio::io_context io_{1};
    std::shared_ptr<Mailbox> mailbox_ = std::make_shared<Mailbox>(io_);
    tcp::acceptor acceptor_{io_};
    asio::steady_timer pause_{io_};
    asio::steady_timer comment_timer_{io_};
    std::thread thread_;
};

}  // namespace

std::unique_ptr<Server> Server::start(ListeningPort port, ServerSettings settings, StationFacts facts,
                                      Api api) {
    auto server = std::make_unique<HttpServer>();
    server->begin(std::move(port), settings, std::move(facts), std::move(api));
    return server;
}

}  // namespace drumwatch
