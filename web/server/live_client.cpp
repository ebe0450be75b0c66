#include <array>
#include <boost/asio.hpp>

#include "web/peer.hpp"
#include "web/site.hpp"

namespace drumwatch {
namespace {

namespace asio = boost::asio;
using boost::system::error_code;

constexpr int kSendBuffer_bytes = 16 * 1024;
constexpr std::chrono::seconds kWriteTimeout{10};

Response stream_head() {
    Response response;
    response.content_type = "text/event-stream";  // always UTF-8, by its definition
    response.fields = {{"Cache-Control", "no-store"}};
    return response;
}

class LiveClientImpl final : public LiveClient, public std::enable_shared_from_this<LiveClientImpl> {
  public:
    LiveClientImpl(PeerHost& host, int socket, const Request& request)
        : site_(host.site()),
          socket_(host.io(), asio::generic::stream_protocol(AF_INET, IPPROTO_TCP), socket),
          deadline_(host.io()),
          after_(Site::resume_after(request)) {}

    void start() {
        error_code ignored;
        socket_.set_option(asio::socket_base::send_buffer_size(kSendBuffer_bytes), ignored);
        watch_for_the_end();
        write(head_text(stream_head(), true, true) + chunk("retry: 2000\n\n"), nullptr);
    }

    void pump() override {
        const Site::Live live = site_.live();
        if (writing_ || !live.newest) return;
        if (!sent_) {
            write(site_.history_event(after_), live.event);
        } else if (sent_->watch != live.newest->watch) {
            write(site_.history_event(std::nullopt), live.event);
        } else if (sent_->sequence == live.newest->sequence) {
            return;
        } else {
            const bool missed = site_.points_after(*sent_) > 1;
            write(missed ? site_.history_event(sent_) : std::string(), live.event);
        }
        sent_ = live.newest;
    }

    void comment() override {
        if (!writing_) write(chunk(": open\n\n"), nullptr);
    }

    void close() override {
        error_code ignored;
        socket_.close(ignored);
        deadline_.cancel();
    }

  private:
    /// A browser sends nothing more on a stream; a read ends when it goes away.
    void watch_for_the_end() {
        socket_.async_read_some(asio::buffer(unread_),
                                [self = shared_from_this()](error_code error, std::size_t) {
                                    if (error) return self->close();
                                    self->watch_for_the_end();
                                });
    }

    void write(std::string own, std::shared_ptr<const std::string> shared) {
        if (!socket_.is_open()) return;
        writing_ = true;
        own_ = std::move(own);
        shared_ = std::move(shared);
        deadline_.expires_after(kWriteTimeout);
        deadline_.async_wait([self = shared_from_this()](error_code error) {
            if (!error) self->close();
        });
        const std::array<asio::const_buffer, 2> pieces{
            asio::buffer(own_), shared_ ? asio::buffer(*shared_) : asio::const_buffer()};
        asio::async_write(socket_, pieces, [self = shared_from_this()](error_code error, std::size_t) {
            self->written(error);
        });
    }

    void written(error_code error) {
        writing_ = false;
        deadline_.cancel();
        own_ = std::string();  // a history is large: give it back
        shared_.reset();
        if (error) return close();
        pump();
    }

    Site& site_;
    asio::generic::stream_protocol::socket socket_;
    asio::steady_timer deadline_;
    std::optional<StreamId> after_;
    std::optional<StreamId> sent_;
    std::string own_;
    std::shared_ptr<const std::string> shared_;
    std::array<char, 256> unread_{};
    bool writing_ = false;
};

}  // namespace

std::shared_ptr<LiveClient> start_live_client(PeerHost& host, int socket, const Request& request) {
    auto client = std::make_shared<LiveClientImpl>(host, socket, request);
    client->start();
    return client;
}

}  // namespace drumwatch
