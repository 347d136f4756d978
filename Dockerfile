# A small image with the static binary alone, run by an unprivileged user.
#   docker build -t soakledger .
#   docker run --rm -v "$PWD":/data soakledger run example:office_render --out /data/office
FROM golang:1.26-bookworm AS build
WORKDIR /src
COPY go.mod go.sum ./
RUN go mod download
COPY . .
RUN CGO_ENABLED=0 go build -trimpath -ldflags="-s -w" -o /soakledger ./cmd/soakledger

FROM scratch
COPY --from=build /soakledger /soakledger
USER 65532:65532
WORKDIR /data
ENTRYPOINT ["/soakledger"]
