#include "trainer/window/view/events.h"

#include <algorithm>

#include "trainer/exercise/operator.h"
#include "trainer/window/view/words.h"

namespace wetrun {
namespace {

EventKind kind_of(const ActionRecord& record) {
  if (record.who == "hands") return EventKind::done;
  return record.who == "desk" ? EventKind::desk : EventKind::note;
}

std::string capital(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z' && !text.starts_with("pH"))
    text[0] = static_cast<char>(text[0] - 'a' + 'A');
  return text;
}

bool same_units(const Preferences& a, const Preferences& b) {
  return a.pressure == b.pressure && a.flow == b.flow && a.temperature == b.temperature;
}

bool earlier(const Event& a, const Event& b) { return a.time_s < b.time_s; }

}  // namespace

void EventLog::restart(const EventSource& source) {
  signals_ = &source.signals;
  preferences_ = source.preferences;
  tell_desk_ = source.tell_desk;
  notices_ = notices(source.signals);
  lasting_.assign(notices_.size(), false);
  looked_ = false;
  seen_s_ = -1;
  told_ = 0;
  last_told_.clear();
  events_.clear();
  std::erase_if(phases_, [&](const Event& e) { return e.time_s > source.now_s; });
  events_ = phases_;
}

void EventLog::read_film(const EventSource& source) {
  const Film& film = source.film;
  if (film.empty()) return;
  std::size_t first = film.index_at(seen_s_);
  if (looked_ && film.frame(first).time_s <= seen_s_) ++first;
  for (std::size_t i = first; i < film.size(); ++i) {
    const Frame& frame = film.frame(i);
    for (std::size_t k = 0; k < notices_.size(); ++k) {
      const Notice& notice = notices_[k];
      const bool now = lasts(notice, frame);
      if (now != lasting_[k] && looked_) {
        const std::string& words = now ? notice.begins : notice.ends;
        const EventKind kind = !now ? EventKind::over : notice.danger ? EventKind::danger : EventKind::caution;
        if (!words.empty()) add({frame.time_s, kind, capital(words)});
      }
      lasting_[k] = now;
    }
    looked_ = true;
    seen_s_ = frame.time_s;
  }
}

void EventLog::read_time_line(const EventSource& source) {
  for (; told_ < source.time_line.size(); ++told_) {
    const ActionRecord& record = source.time_line[told_];
    last_told_ = record.text;
    const EventKind kind = kind_of(record);
    if (kind == EventKind::desk && !source.tell_desk) continue;
    add({record.time_s, kind, capital(record_words(source.preferences, source.signals, source.scene, record.text))});
  }
}

void EventLog::update(const EventSource& source) {
  const bool set_back = (looked_ && (source.film.empty() || source.film.end_s() < seen_s_)) ||
                        told_ > source.time_line.size() ||
                        (told_ > 0 && source.time_line[told_ - 1].text != last_told_);
  if (signals_ != &source.signals || tell_desk_ != source.tell_desk || !same_units(preferences_, source.preferences) ||
      set_back)
    restart(source);
  const std::size_t before = events_.size();
  read_film(source);
  read_time_line(source);
  if (source.phase != phase_) {
    phase_ = source.phase;
    if (!phase_.empty()) {
      phases_.push_back({source.now_s, EventKind::phase, capital(phase_)});
      add(phases_.back());
    }
  }
  if (events_.size() != before) std::stable_sort(events_.begin(), events_.end(), earlier);
}

std::vector<Event> events(const EventSource& source) {
  EventLog log;
  log.update(source);
  return log.events();
}

}  // namespace wetrun
