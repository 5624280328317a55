#include "trainer/window/shell/bridge.h"

#include <SFML/OpenGL.hpp>
#include <SFML/Window/Clipboard.hpp>
#include <SFML/Window/Context.hpp>
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstring>

#include "engine/core/error.h"

namespace wetrun::ui {
namespace {

/// OpenGL as the window's own driver has it. SFML links it; this program asks SFML for it.
template <class Function>
Function gl(const char* name) {
  return reinterpret_cast<Function>(sf::Context::getFunction(name));
}

struct Gl {
  decltype(&glEnable) enable = gl<decltype(&glEnable)>("glEnable");
  decltype(&glDisable) disable = gl<decltype(&glDisable)>("glDisable");
  decltype(&glViewport) viewport = gl<decltype(&glViewport)>("glViewport");
  decltype(&glScissor) scissor = gl<decltype(&glScissor)>("glScissor");
  decltype(&glClearColor) clear_colour = gl<decltype(&glClearColor)>("glClearColor");
  decltype(&glClear) clear = gl<decltype(&glClear)>("glClear");
  decltype(&glColorMask) colour_mask = gl<decltype(&glColorMask)>("glColorMask");
  decltype(&glBlendFunc) blend = gl<decltype(&glBlendFunc)>("glBlendFunc");
  decltype(&glMatrixMode) matrix_mode = gl<decltype(&glMatrixMode)>("glMatrixMode");
  decltype(&glLoadIdentity) identity = gl<decltype(&glLoadIdentity)>("glLoadIdentity");
  decltype(&glOrtho) ortho = gl<decltype(&glOrtho)>("glOrtho");
  decltype(&glEnableClientState) enable_array = gl<decltype(&glEnableClientState)>("glEnableClientState");
  decltype(&glDisableClientState) disable_array = gl<decltype(&glDisableClientState)>("glDisableClientState");
  decltype(&glVertexPointer) vertices = gl<decltype(&glVertexPointer)>("glVertexPointer");
  decltype(&glTexCoordPointer) texture_points = gl<decltype(&glTexCoordPointer)>("glTexCoordPointer");
  decltype(&glColorPointer) colours = gl<decltype(&glColorPointer)>("glColorPointer");
  decltype(&glBindTexture) bind = gl<decltype(&glBindTexture)>("glBindTexture");
  decltype(&glDrawElements) draw = gl<decltype(&glDrawElements)>("glDrawElements");
};

ImTextureID as_id(unsigned handle) { return reinterpret_cast<ImTextureID>(static_cast<std::uintptr_t>(handle)); }
unsigned as_handle(ImTextureID id) { return static_cast<unsigned>(reinterpret_cast<std::uintptr_t>(id)); }

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
  window_.setKeyRepeatEnabled(true);  // for text; ImGui repeats keys itself
}

Bridge::~Bridge() {
  window_.close();  // it uses the cursors to its end
  ImGui::GetIO().Fonts->SetTexID(nullptr);
  ImGui::DestroyContext();
}

void Bridge::upload_fonts() {
  unsigned char* pixels = nullptr;
  int width = 0, height = 0;
  ImGui::GetIO().Fonts->GetTexDataAsRGBA32(&pixels, &width, &height);
  if (!fonts_.create(static_cast<unsigned>(width), static_cast<unsigned>(height)))
    throw InputError("the graphics driver has no room for the letters (" + std::to_string(width) + "x" +
                         std::to_string(height) + " pixels)",
                     "choose a smaller window (--size)");
  fonts_.update(pixels);
  fonts_.setSmooth(true);  // ImGui's soft lines are stripes of this texture
  ImGui::GetIO().Fonts->SetTexID(as_id(fonts_.getNativeHandle()));
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

void Bridge::end_frame(ImU32 background) {
  ImGui::Render();
  show_cursor();
  window_.setActive(true);
  const Gl g;
  const sf::Vector2u size = window_.getSize();
  const ImVec4 back = ImGui::ColorConvertU32ToFloat4(background);
  g.viewport(0, 0, static_cast<GLsizei>(size.x), static_cast<GLsizei>(size.y));
  g.disable(GL_SCISSOR_TEST);
  g.clear_colour(back.x, back.y, back.z, 1);
  g.clear(GL_COLOR_BUFFER_BIT);
  draw(*ImGui::GetDrawData());
}

void Bridge::draw(const ImDrawData& data) const {
  const Gl g;
  const float high = data.DisplaySize.y;
  g.disable(GL_CULL_FACE);
  g.disable(GL_DEPTH_TEST);
  g.disable(GL_LIGHTING);
  g.enable(GL_BLEND);
  g.enable(GL_SCISSOR_TEST);
  g.enable(GL_TEXTURE_2D);
  g.blend(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA);       // ImGui's colours are not multiplied by their alpha
  g.colour_mask(GL_TRUE, GL_TRUE, GL_TRUE, GL_FALSE);  // the picture stays opaque
  g.matrix_mode(GL_TEXTURE);
  g.identity();
  g.matrix_mode(GL_PROJECTION);
  g.identity();
  g.ortho(0, static_cast<double>(data.DisplaySize.x), static_cast<double>(high), 0, -1, 1);
  g.matrix_mode(GL_MODELVIEW);
  g.identity();
  g.enable_array(GL_VERTEX_ARRAY);
  g.enable_array(GL_TEXTURE_COORD_ARRAY);
  g.enable_array(GL_COLOR_ARRAY);
  for (int n = 0; n < data.CmdListsCount; ++n) {
    const ImDrawList& list = *data.CmdLists[n];
    for (const ImDrawCmd& command : list.CmdBuffer) {
      if (command.UserCallback != nullptr) {
        if (command.UserCallback != ImDrawCallback_ResetRenderState) command.UserCallback(&list, &command);
        continue;
      }
      const ImVec4 clip = command.ClipRect;
      const float x0 = std::max(clip.x, 0.0F), y0 = std::max(clip.y, 0.0F);
      if (clip.z <= x0 || clip.w <= y0) continue;
      g.scissor(static_cast<GLint>(x0), static_cast<GLint>(high - clip.w), static_cast<GLsizei>(clip.z - x0),
                static_cast<GLsizei>(clip.w - y0));
      const auto* base = reinterpret_cast<const char*>(list.VtxBuffer.Data + command.VtxOffset);
      g.vertices(2, GL_FLOAT, sizeof(ImDrawVert), base + offsetof(ImDrawVert, pos));
      g.texture_points(2, GL_FLOAT, sizeof(ImDrawVert), base + offsetof(ImDrawVert, uv));
      g.colours(4, GL_UNSIGNED_BYTE, sizeof(ImDrawVert), base + offsetof(ImDrawVert, col));
      g.bind(GL_TEXTURE_2D, as_handle(command.GetTexID()));
      g.draw(GL_TRIANGLES, static_cast<GLsizei>(command.ElemCount),
             sizeof(ImDrawIdx) == 2 ? GL_UNSIGNED_SHORT : GL_UNSIGNED_INT, list.IdxBuffer.Data + command.IdxOffset);
    }
  }
  g.colour_mask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
  g.disable_array(GL_COLOR_ARRAY);
  g.disable_array(GL_TEXTURE_COORD_ARRAY);
  g.disable_array(GL_VERTEX_ARRAY);
  g.disable(GL_SCISSOR_TEST);
}

}  // namespace wetrun::ui
