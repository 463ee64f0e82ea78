# Two targets do everything on a fresh Debian 12: make demo and make test.
export PATH := $(PATH):/usr/local/go/bin
export GOTOOLCHAIN := auto

.PHONY: demo test build lint setup models phones leaks bench soak pictures vulnerable sbom deb deb-try clean

# The same source gives the same bytes, wherever and whenever it is built.
version := $(shell sed -n 's/^var version = "\(.*\)"/\1/p' cmd/steadfall/version.go)
flags := -trimpath -buildvcs=false -ldflags '-X main.version=$(version)'

demo: build models
	./bin/steadfall demo --dir demo-reports

# Twice from the same source: steadfall starts at once, for it is without cgo and so without
# OpenCV, and turns into steadfall-clips beside it where there are clips to be read.
build: setup
	CGO_ENABLED=0 go build $(flags) -o bin/steadfall ./cmd/steadfall
	go build $(flags) -o bin/steadfall-clips ./cmd/steadfall

setup:
	@sh .ci/setup

# The nets that place points automatically, fetched and converted once.
models: setup
	@go run ./cmd/steadfall models

# kinematics, scoring and the tracker must build and pass without cgo, so without OpenCV.
test: setup lint models
	CGO_ENABLED=0 go test ./kinematics ./scoring ./video/track
	go test -timeout 20m $$(go list ./... | grep -v -e /kinematics$$ -e /scoring$$)

lint: setup
	@test -z "$$(go tool gofumpt -l .)" || { go tool gofumpt -l .; echo "lint: run go tool gofumpt -w ."; exit 1; }
	go vet ./...
	CGO_ENABLED=0 go vet ./cmd/steadfall
	go tool staticcheck -checks all,-ST1000,-ST1003,-ST1016 ./...

# One landing in every file that phones leave: read as ffmpeg shows it, and measured alike. The
# commonest of them are in test as well.
phones: setup models
	STEADFALL_ALL_PHONE_FILES=1 go test -count 1 -timeout 30m ./internal/testkit/phonefiles

# The tests of video once more, counting the pictures that OpenCV holds outside Go's memory.
leaks: setup models
	go test -tags matprofile ./video/...

# Accuracy against exact truth, and what it costs, printed as tables.
bench: models
	@sh .ci/setup python3-opencv time
	go run ./internal/tools/bench

# A thousand clips scored while counting what is held, thousands of damaged clips given to the
# worker, the desk killed in the middle of its work, again and again, and 500 commands on an
# archive with a second one at work; prints what became of them. Three to four hours.
soak: setup models
	go run ./internal/tools/soak

# The demo's pages on a phone, on a desktop and on paper, to be looked at.
pictures: demo
	@sh .ci/setup poppler-utils
	go run ./internal/tools/pictures demo-reports pictures

# Known vulnerabilities in what the program calls.
vulnerable: setup
	@sh .ci/vulnerable

# What the program is made of, as CycloneDX; OpenCV's packages are the .deb's dependencies.
sbom: setup
	@mkdir -p bin
	go run github.com/CycloneDX/cyclonedx-gomod/cmd/cyclonedx-gomod@v1.10.0 app -json -std -main cmd/steadfall -output bin/steadfall.cdx.json .

# A Debian package with the nets, and the desk as a service under its own user.
deb: build models
	go run ./internal/tools/licences >bin/copyright
	VERSION=$(version) ARCH=$$(dpkg --print-architecture) NETS="$${STEADFALL_NETS:-$${XDG_CACHE_HOME:-$$HOME/.cache}/steadfall/nets}" SOURCE_DATE_EPOCH=$$(git log -1 --format=%ct) \
	go run github.com/goreleaser/nfpm/v2/cmd/nfpm@v2.45.2 package -f internal/tools/deb/nfpm.yaml -p deb -t bin/

# The package in a clean Debian 12: installed, the demo run, the service started, upgraded
# with an archive in place, removed. Needs root.
deb-try: setup
	@sh .ci/setup debootstrap
	$(MAKE) deb version=$(version)+newer
	$(MAKE) deb
	go run ./internal/tools/deb bin/steadfall_$(version)-1_*.deb bin/steadfall_$(version)+newer-1_*.deb

clean:
	rm -rf bin demo-reports pictures
