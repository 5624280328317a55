#include "trainer/window/shell/bridge.h"

#include <SFML/Window/Clipboard.hpp>
#include <algorithm>
#include <cmath>
#include <cstring>

#include "engine/core/error.h"

namespace wetrun::ui {
namespace {

void map_keys(ImGuiIO& io) {
  using K = sf::Keyboard;
  const std::pair<int, K::Key> keys[] = {{ImGuiKey_Tab, K::Tab},
                                         {ImGuiKey_LeftArrow, K::Left},
                                         {ImGuiKey_RightArrow, K::Right},
                                         {ImGuiKey_UpArrow, K::Up},
                                         {ImGuiKey_DownArrow, K::Down},
                                         {ImGuiKey_PageUp, K::PageUp},
                                         {ImGuiKey_PageDown, K::PageDown},
                                         {ImGuiKey_Home, K::Home},
                                         {ImGuiKey_End, K::End},
                                         {ImGuiKey_Insert, K::Insert},
                                         {ImGuiKey_Delete, K::Delete},
                                         {ImGuiKey_Backspace, K::Backspace},
                                         {ImGuiKey_Space, K::Space},
                                         {ImGuiKey_Enter, K::Enter},
                                         {ImGuiKey_Escape, K::Escape},
                                         {ImGuiKey_A, K::A},
                                         {ImGuiKey_C, K::C},
                                         {ImGuiKey_V, K::V},
                                         {ImGuiKey_X, K::X},
                                         {ImGuiKey_Y, K::Y},
                                         {ImGuiKey_Z, K::Z}};
  for (const auto& [ours, theirs] : keys) io.KeyMap[ours] = theirs;
}

int mouse_button(sf::Mouse::Button button) {
  return static_cast<int>(button);
}  // left, right, middle, two more: as ImGui

/// Keypad digits and Enter come as keys of their own.
int key_index(sf::Keyboard::Key key) { return key < 0 || key >= sf::Keyboard::KeyCount ? -1 : static_cast<int>(key); }

sf::Cursor::Type cursor_type(int cursor) {
  switch (cursor) {
    case ImGuiMouseCursor_TextInput:
      return sf::Cursor::Text;
    case ImGuiMouseCursor_ResizeAll:
      return sf::Cursor::SizeAll;
    case ImGuiMouseCursor_ResizeNS:
      return sf::Cursor::SizeVertical;
    case ImGuiMouseCursor_ResizeEW:
      return sf::Cursor::SizeHorizontal;
    case ImGuiMouseCursor_ResizeNESW:
      return sf::Cursor::SizeBottomLeftTopRight;
    case ImGuiMouseCursor_ResizeNWSE:
      return sf::Cursor::SizeTopLeftBottomRight;
    case ImGuiMouseCursor_Hand:
      return sf::Cursor::Hand;
    case ImGuiMouseCursor_NotAllowed:
      return sf::Cursor::NotAllowed;
    default:
      return sf::Cursor::Arrow;
  }
}

}  // namespace

Bridge::Bridge(sf::RenderWindow& window) : window_(window) {
  ImGui::CreateContext();
  ImGuiIO& io = ImGui::GetIO();
  io.IniFilename = nullptr;  // places are the program's, not remembered
  io.LogFilename = nullptr;
  io.BackendPlatformName = io.BackendRendererName = "wetrun";
  io.BackendFlags |= ImGuiBackendFlags_HasMouseCursors | ImGuiBackendFlags_RendererHasVtxOffset;
  io.ConfigFlags |= ImGuiConfigFlags_NavEnableKeyboard;
  io.ConfigWindowsMoveFromTitleBarOnly = true;
  map_keys(io);
  io.ClipboardUserData = this;
  io.SetClipboardTextFn = [](void*, const char* text) {
    sf::Clipboard::setString(sf::String::fromUtf8(text, text + std::strlen(text)));
  };
  io.GetClipboardTextFn = [](void* self) -> const char* {
    const auto text = sf::Clipboard::getString().toUtf8();
    std::string& kept = static_cast<Bridge*>(self)->clipboard_;
    kept.assign(text.begin(), text.end());
    return kept.c_str();
  };
  for (int i = 0; i < ImGuiMouseCursor_COUNT; ++i) {
    auto cursor = std::make_unique<sf::Cursor>();
    if (cursor->loadFromSystem(cursor_type(i))) cursors_[static_cast<std::size_t>(i)] = std::move(cursor);
  }
  canvas_ = std::make_unique<Canvas>();
  window_.setKeyRepeatEnabled(true);  // for text; ImGui repeats keys itself
}

Bridge::~Bridge() {
  window_.setActive(true);
  canvas_.reset();
  window_.close();  // it uses the cursors to its end
  ImGui::DestroyContext();
}

void Bridge::upload_fonts() {
  Atlas atlas;
  unsigned char* coverage = nullptr;
  ImGui::GetIO().Fonts->GetTexDataAsAlpha8(&coverage, &atlas.width, &atlas.height);
  atlas.coverage = coverage;
  canvas_->set_atlas(atlas);
}

void Bridge::take(const sf::Event& event) {
  switch (event.type) {
    case sf::Event::MouseMoved:
      if (!waiting_.empty() && waiting_.back().type == sf::Event::MouseMoved) {
        waiting_.back() = event;  // only the last place counts
        break;
      }
      [[fallthrough]];
    case sf::Event::MouseButtonPressed:
    case sf::Event::MouseButtonReleased:
    case sf::Event::MouseWheelScrolled:
    case sf::Event::MouseLeft:
    case sf::Event::KeyPressed:
    case sf::Event::KeyReleased:
    case sf::Event::TextEntered:
    case sf::Event::LostFocus:
      waiting_.push_back(event);
      break;
    default:
      break;
  }
}

/// Returns false if the event must wait for the next frame.
bool Bridge::give(const sf::Event& event) {
  ImGuiIO& io = ImGui::GetIO();
  switch (event.type) {
    case sf::Event::MouseMoved:
      if (std::any_of(given_.button.begin(), given_.button.end(), [](bool b) { return b; })) return false;
      io.MousePos = {static_cast<float>(event.mouseMove.x), static_cast<float>(event.mouseMove.y)};
      given_.moved = true;
      return true;
    case sf::Event::MouseButtonPressed:
    case sf::Event::MouseButtonReleased: {
      const int button = mouse_button(event.mouseButton.button);
      if (button < 0 || button >= 5) return true;
      const ImVec2 at{static_cast<float>(event.mouseButton.x), static_cast<float>(event.mouseButton.y)};
      const bool elsewhere = io.MousePos.x != at.x || io.MousePos.y != at.y;
      if (given_.button[static_cast<std::size_t>(button)] || given_.moved) return false;
      if (elsewhere) {  // the move there was not seen: one frame of it first
        io.MousePos = at;
        given_.moved = true;
        return false;
      }
      io.MouseDown[button] = event.type == sf::Event::MouseButtonPressed;
      given_.button[static_cast<std::size_t>(button)] = true;
      return true;
    }
    case sf::Event::MouseWheelScrolled:
      if (given_.moved) return false;
      (event.mouseWheelScroll.wheel == sf::Mouse::VerticalWheel ? io.MouseWheel : io.MouseWheelH) +=
          event.mouseWheelScroll.delta;
      return true;
    case sf::Event::MouseLeft:
      if (!ImGui::IsAnyMouseDown()) io.MousePos = {-FLT_MAX, -FLT_MAX};
      return true;
    case sf::Event::KeyPressed:
    case sf::Event::KeyReleased: {
      const int key = key_index(event.key.code == sf::Keyboard::Unknown ? sf::Keyboard::KeyCount : event.key.code);
      if (key >= 0) {
        const bool down = event.type == sf::Event::KeyPressed;
        if (io.KeysDown[key] != down) {
          if (given_.key[static_cast<std::size_t>(key)]) return false;
          given_.key[static_cast<std::size_t>(key)] = true;
        }
        io.KeysDown[key] = down;
      }
      io.KeyCtrl = event.key.control;
      io.KeyShift = event.key.shift;
      io.KeyAlt = event.key.alt;
      io.KeySuper = event.key.system;
      return true;
    }
    case sf::Event::TextEntered:
      if (event.text.unicode >= 32 && event.text.unicode != 127) io.AddInputCharacter(event.text.unicode);
      return true;
    case sf::Event::LostFocus:
      std::fill(std::begin(io.KeysDown), std::end(io.KeysDown), false);
      std::fill(std::begin(io.MouseDown), std::end(io.MouseDown), false);
      io.KeyCtrl = io.KeyShift = io.KeyAlt = io.KeySuper = false;
      return true;
    default:
      return true;
  }
}

void Bridge::begin_frame(double elapsed_s) {
  ImGuiIO& io = ImGui::GetIO();
  const sf::Vector2u size = window_.getSize();
  io.DisplaySize = {static_cast<float>(size.x), static_cast<float>(size.y)};
  io.DeltaTime = std::clamp(static_cast<float>(elapsed_s), 1e-4F, 0.25F);
  given_ = {};
  while (!waiting_.empty() && give(waiting_.front())) waiting_.pop_front();
  ImGui::NewFrame();
}

void Bridge::show_cursor() {
  const int wanted = ImGui::GetMouseCursor();
  if (wanted == cursor_) return;
  cursor_ = wanted;
  window_.setMouseCursorVisible(wanted != ImGuiMouseCursor_None);
  if (wanted < 0) return;
  const auto& cursor = cursors_[static_cast<std::size_t>(wanted)];
  const auto& arrow = cursors_[ImGuiMouseCursor_Arrow];
  if (cursor)
    window_.setMouseCursor(*cursor);
  else if (arrow)
    window_.setMouseCursor(*arrow);
}

bool Bridge::end_frame(ImU32 background) {
  ImGui::Render();
  show_cursor();
  window_.setActive(true);
  return canvas_->draw(*ImGui::GetDrawData(), background);
}

}  // namespace wetrun::ui
