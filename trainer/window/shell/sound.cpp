#include "trainer/window/shell/sound.h"

#include <dlfcn.h>

#include <SFML/Audio/SoundStream.hpp>
#include <array>
#include <chrono>
#include <condition_variable>
#include <cstdio>
#include <cstdlib>
#include <mutex>
#include <thread>

namespace wetrun::ui {
namespace {

/// Sound libraries speak on standard error of every device they try; what matters is said in one line of our own.
void ignore_line(const char*, int, const char*, int, const char*, ...) {}

void hush_sound_libraries() {
  ::setenv("ALSOFT_LOGLEVEL", "0", 0);
  using Quiet = int (*)(void (*)(const char*, int, const char*, int, const char*, ...));
  void* alsa = ::dlopen("libasound.so.2", RTLD_NOW | RTLD_GLOBAL);
  if (alsa == nullptr) return;
  if (const auto set = reinterpret_cast<Quiet>(::dlsym(alsa, "snd_lib_error_set_handler"))) set(ignore_line);
}

bool have_device() {
  using Current = void* (*)();
  const auto current = reinterpret_cast<Current>(::dlsym(RTLD_DEFAULT, "alcGetCurrentContext"));
  return current == nullptr || current() != nullptr;
}

/// What the window wants and what the sound thread plays; both hold the lock for a few numbers only.
struct Wish {
  std::mutex lock;
  SoundMix mix;
  double volume = 0;
};

class Stream : public sf::SoundStream {
public:
  explicit Stream(Wish& wish) : wish_(wish) { initialize(1, Synthesiser::rate_hz); }
  ~Stream() override { stop(); }

private:
  bool onGetData(Chunk& data) override {
    {
      const std::lock_guard<std::mutex> hold(wish_.lock);
      synthesiser_.set(wish_.mix);
      synthesiser_.set_volume(wish_.volume);
    }
    synthesiser_.render(samples_);
    data.samples = samples_.data();
    data.sampleCount = samples_.size();
    return true;
  }
  void onSeek(sf::Time) override {}

  Wish& wish_;
  Synthesiser synthesiser_;
  std::array<std::int16_t, 2048> samples_{};  // 46 ms
};

}  // namespace

struct Sound::Speaker {
  Wish wish;
  std::mutex lock;  // of what is below
  std::condition_variable changed;
  std::unique_ptr<Stream> stream;
  bool closed = false, settled = false;
};

Sound::Sound() : speaker_(std::make_shared<Speaker>()) {
  hush_sound_libraries();
  std::thread([speaker = speaker_] {
    auto stream = std::make_unique<Stream>(speaker->wish);
    if (!have_device()) {
      std::fputs("wetrun-trainer: no sound: the sound device cannot be opened (--silent does without it)\n", stderr);
      stream.reset();
    }
    const std::lock_guard<std::mutex> hold(speaker->lock);
    if (!speaker->closed && stream) {
      speaker->stream = std::move(stream);
      speaker->stream->play();
    }
    stream.reset();
    speaker->settled = true;
    speaker->changed.notify_all();
  }).detach();
}

Sound::~Sound() {
  std::unique_lock<std::mutex> hold(speaker_->lock);
  speaker_->closed = true;
  // A sound server that is being asked must not be left in the middle of it, but nor may it hold the program up.
  speaker_->changed.wait_for(hold, std::chrono::seconds(2), [this] { return speaker_->settled; });
  speaker_->stream.reset();
}

void Sound::set(const SoundMix& mix, double volume) {
  const std::lock_guard<std::mutex> hold(speaker_->wish.lock);
  speaker_->wish.mix = mix;
  speaker_->wish.volume = volume;
}

}  // namespace wetrun::ui
