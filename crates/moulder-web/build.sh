#!/usr/bin/env bash
# Builds the module for the web: build.sh FOLDER leaves moulder.wasm there.
#
# With the target of your own toolchain (rustup target add wasm32-unknown-unknown), or else with
# Debian's compiler for the web, which builds the standard library as well: packages rustc-web,
# rust-web-src and the lld of the LLVM that `rustc -vV` names.
set -euo pipefail
folder=$(mkdir -p "$1" && cd "$1" && pwd)
cd "$(dirname "$0")/module"

target=wasm32-unknown-unknown
export CARGO_TARGET_DIR=${CARGO_TARGET_DIR:-$(cd ../../.. && pwd)/target}/web
declare -a more=()

if [ ! -d "$(rustc --print sysroot)/lib/rustlib/$target" ]; then
  export RUSTC=/usr/bin/rustc RUSTC_BOOTSTRAP=1
  if [ ! -d /usr/lib/rustlib/src/rust/library ]; then
    echo "no toolchain for the web: rustup target add $target" >&2
    echo "or apt-get install rustc-web rust-web-src lld-NN, NN the LLVM of rustc-web" >&2
    exit 1
  fi
  llvm=$("$RUSTC" -vV | sed -n 's/^LLVM version: \([0-9]*\).*/\1/p')
  export CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER="/usr/lib/llvm-$llvm/bin/wasm-ld"
  more+=(-Zbuild-std=std,panic_abort)
fi
cargo build --locked --release --quiet --target "$target" "${more[@]}"
cp "$CARGO_TARGET_DIR/$target/release/moulder_web.wasm" "$folder/moulder.wasm"
ls -l "$folder/moulder.wasm"
