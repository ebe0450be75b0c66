#include <array>
#include <boost/asio.hpp>
#include <boost/beast/core.hpp>
#include <boost/beast/http.hpp>

#include "web/peer.hpp"
#include "web/problem.hpp"
#include "web/site.hpp"

namespace drumwatch {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = beast::http;
using asio::ip::tcp;
using beast::error_code;
using Clock = std::chrono::steady_clock;

constexpr std::uint32_t kHeaderLimit_bytes = 8 * 1024;
constexpr std::uint64_t kBodyLimit_bytes = 256 * 1024;
constexpr std::chrono::seconds kIdleTimeout{30};
constexpr std::chrono::seconds kHeaderTimeout{5};
constexpr std::chrono::seconds kBodyTimeout{10};
constexpr std::chrono::seconds kAnswerTimeout{10};
constexpr std::chrono::seconds kWriteTimeout{30};
constexpr std::chrono::seconds kFarewell{1};

Request to_request(const http::request<http::string_body>& message) {
    const auto field = [&](auto name) {
        const auto value = message[name];
        return std::string(value.data(), value.size());
    };
    Request request;
    request.method = std::string(message.method_string());
    const std::string target(message.target());
    const std::size_t mark = target.find('?');
    request.path = target.substr(0, mark);
    if (mark != std::string::npos) request.query = target.substr(mark + 1);
    request.host = field(http::field::host);
    request.origin = field(http::field::origin);
    request.content_type = field(http::field::content_type);
    request.drumwatch = field("X-Drumwatch");
    request.if_none_match = field(http::field::if_none_match);
    request.accept_encoding = field(http::field::accept_encoding);
    request.last_event_id = field("Last-Event-ID");
    return request;
}

/// What the parser refused, in HTTP's words; nothing where the line itself broke and nobody listens any more.
std::optional<Response> parse_refusal(error_code error) {
    if (error == http::error::header_limit || error == http::error::buffer_overflow) {
        return problem(431, "The header section may be 8 KiB long.");
    }
    if (error == http::error::body_limit) return problem(413, "The body may be 256 KiB long.");
    const bool of_parser = error.category() == make_error_code(http::error::bad_method).category();
    if (!of_parser || error == http::error::end_of_stream || error == http::error::partial_message) {
        return std::nullopt;
    }
    return problem(400, "This is not an HTTP/1.1 request as RFC 9112 writes it.");
}

class Connection final : public Peer, public std::enable_shared_from_this<Connection> {
  public:
    Connection(PeerHost& host, int socket)
        : host_(host), stream_(tcp::socket(host.io(), tcp::v4(), socket)), answer_deadline_(host.io()) {}

    void wait_for_request() {
        idle_since_ = Clock::now();
        if (buffer_.size() > 0) return read_header();
        stream_.expires_after(kIdleTimeout);
        stream_.async_read_some(buffer_.prepare(4096),
                                [self = shared_from_this()](error_code error, std::size_t bytes) {
                                    if (error) return self->close();
                                    self->buffer_.commit(bytes);
                                    self->read_header();
                                });
    }

    void close() override {
        stream_.close();
        answer_deadline_.cancel();
    }
    std::optional<Clock::time_point> idle_since() const override { return idle_since_; }

  private:
    void read_header() {
        idle_since_.reset();
        keep_alive_ = false;
        parser_.emplace();
        parser_->header_limit(kHeaderLimit_bytes);
        parser_->body_limit(kBodyLimit_bytes);
        stream_.expires_after(kHeaderTimeout);
        http::async_read_header(stream_, buffer_, *parser_,
                                [self = shared_from_this()](error_code error, std::size_t) {
                                    if (error) return self->refuse_message(error);
                                    self->judge_header();
                                });
    }

    void judge_header() {
        const auto& message = parser_->get();
        request_ = to_request(message);
        if (message.version() != 11) return respond(problem(505, "Only HTTP/1.1 is spoken here."));
        if (message.count(http::field::host) != 1 || !request_.path.starts_with('/')) {
            return respond(problem(400, "A request needs one Host field and a path that begins with \"/\"."));
        }
        // An unread body would be taken for the next request: only without one may the connection go on.
        const auto refusal = host_.site().refuse(request_);
        keep_alive_ = message.keep_alive() && (!refusal || parser_->is_done());
        if (refusal) return respond(*refusal);
        stream_.expires_after(kBodyTimeout);
        http::async_read(stream_, buffer_, *parser_,
                         [self = shared_from_this()](error_code error, std::size_t) {
                             if (error) return self->refuse_message(error);
                             self->answer();
                         });
    }

    void refuse_message(error_code error) {
        keep_alive_ = false;
        const auto refusal = parse_refusal(error);
        if (!refusal) return close();
        respond(*refusal);
    }

    void answer() {
        request_.body = std::move(parser_->get().body());
        if (host_.site().opens_stream(request_)) {
            if (!stream_.socket().is_open()) return;
            return host_.begin_stream(stream_.release_socket().release(), request_, this);
        }
        const std::uint64_t asked = ++asked_;
        answer_deadline_.expires_after(kAnswerTimeout);
        answer_deadline_.async_wait([self = shared_from_this(), asked](error_code error) {
            if (!error) self->take_answer(asked, late());
        });
        auto reply = [weak = weak_from_this(), mailbox = host_.mailbox(), asked](Response response) {
            mailbox->post([weak, asked, response = std::move(response)]() {
                if (const auto self = weak.lock()) self->take_answer(asked, response);
            });
        };
        host_.site().answer(request_, host_.connections(), host_.streams(), reply);
    }

    static Response late() {
        return problem(
            504, "Not answered yet. It may still happen: ask again with the same client_id, it acts once.");
    }

    void take_answer(std::uint64_t asked, const Response& response) {
        if (asked != asked_) return;  // its time was over, or it came twice
        ++asked_;
        answer_deadline_.cancel();
        respond(response);
    }

    void respond(Response response) {
        response_ = std::move(response);
        head_ = head_text(response_, keep_alive_, false);
        const bool with_body = request_.method != "HEAD";
        const asio::const_buffer body = response_.text
                                            ? asio::buffer(*response_.text)
                                            : asio::buffer(response_.bytes.data(), response_.bytes.size());
        const std::array<asio::const_buffer, 2> pieces{asio::buffer(head_),
                                                       with_body ? body : asio::const_buffer()};
        stream_.expires_after(kWriteTimeout);
        asio::async_write(stream_, pieces, [self = shared_from_this()](error_code error, std::size_t) {
            if (error) return self->close();
            self->response_ = {};
            if (self->keep_alive_) return self->wait_for_request();
            self->say_farewell();
        });
    }

    /// Closing with unread bytes would reset the line, and the answer might be lost on its way.
    void say_farewell() {
        error_code ignored;
        stream_.socket().shutdown(tcp::socket::shutdown_send, ignored);
        stream_.expires_after(kFarewell);
        drain();
    }
    void drain() {
        stream_.async_read_some(asio::buffer(unread_),
                                [self = shared_from_this()](error_code error, std::size_t) {
                                    if (error) return self->close();
                                    self->drain();
                                });
    }

    PeerHost& host_;
    beast::tcp_stream stream_;
    asio::steady_timer answer_deadline_;
    beast::flat_buffer buffer_{2 * kHeaderLimit_bytes};
    std::optional<http::request_parser<http::string_body>> parser_;  // a fresh one a request
    Request request_;
    Response response_;
    std::string head_;
    std::array<char, 4096> unread_{};
    std::optional<Clock::time_point> idle_since_;
    std::uint64_t asked_ = 0;
    bool keep_alive_ = false;
};

}  // namespace

std::shared_ptr<Peer> start_connection(PeerHost& host, int socket) {
    auto connection = std::make_shared<Connection>(host, socket);
    connection->wait_for_request();
    return connection;
}

}  // namespace drumwatch
