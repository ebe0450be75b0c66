# Sourced by what proves something in a bare Debian 12 root. Needs root and debootstrap (installed if missing).

# Makes the root in folder $1, with the package mirror, apt settings and certificates of this machine. $2: further
# packages, comma-separated.
bare_root_make() {
  local root=$1 mirror file
  command -v debootstrap >/dev/null || { apt-get update -qq; apt-get install -y -qq --no-install-recommends debootstrap >/dev/null; }
  mirror=$(apt-get indextargets --format '$(SITE)' 'Created-By: Packages' | grep -v security | head -n 1)
  debootstrap --variant=minbase ${2:+--include="$2"} bookworm "$root" "$mirror" >"$root.log" 2>&1 ||
    { tail -n 20 "$root.log" >&2; return 1; }
  rm -f "$root.log"
  chmod 755 "$root"  # as every real root is: mktemp's 0700 shuts out whoever is not root
  printf '127.0.0.1 localhost\n::1 localhost\n' >"$root/etc/hosts"
  cp /etc/resolv.conf "$root/etc/resolv.conf" 2>/dev/null || true
  rm -f "$root/etc/apt/sources.list"  # debootstrap's own would name the same again
  for file in /etc/apt/sources.list /etc/apt/sources.list.d /etc/apt/apt.conf.d; do
    [ -e "$file" ] && mkdir -p "$root$(dirname "$file")" && cp -a "$file" "$root$(dirname "$file")/"
  done
  mkdir -p "$root/etc/ssl/certs"
  [ ! -f /etc/ssl/certs/ca-certificates.crt ] || cp /etc/ssl/certs/ca-certificates.crt "$root/etc/ssl/certs/machine.crt"
}

# What root $1 needs mounted before a program in it runs; in a mount namespace of its own (unshare -m).
bare_root_mount() {
  mount -t proc proc "$1/proc"
  mount -t devpts devpts "$1/dev/pts" 2>/dev/null || mount --bind /dev/pts "$1/dev/pts"
  mkdir -p "$1/dev/shm" && mount -t tmpfs tmpfs "$1/dev/shm"
}

bare_root_unmount() {
  local place
  for place in dev/shm dev/pts proc; do umount "$1/$place" 2>/dev/null || true; done
}

# Runs a command in root $1 with a clean environment; the machine's proxies, if it has any, are kept.
bare_root_run() {
  local root=$1
  shift
  env -i PATH=/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin HOME=/srv LC_ALL=C.UTF-8 TERM=dumb \
    DEBIAN_FRONTEND=noninteractive \
    NODE_EXTRA_CA_CERTS=/etc/ssl/certs/machine.crt npm_config_cafile=/etc/ssl/certs/machine.crt \
    ${http_proxy:+http_proxy="$http_proxy"} ${https_proxy:+https_proxy="$https_proxy"} ${npm_config_registry:+npm_config_registry="$npm_config_registry"} \
    chroot "$root" "$@"
}
