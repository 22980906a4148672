# One static program in an empty image. Time zones and the demo book are inside it.
FROM golang:1.26 AS build
WORKDIR /src
COPY go.mod go.sum ./
RUN go mod download
COPY . .
RUN CGO_ENABLED=0 go build -trimpath -ldflags="-s -w" -o /out/tamis ./cmd/tamis \
 && mkdir -p /out/licences /data \
 && cp LICENSE bot/question/words/*.LICENSE /out/licences/

FROM scratch
COPY --from=build /out/ /
# what the program writes: history, timers
COPY --from=build --chown=65532:65532 /data /data
ENV TAMIS_DATA=/data
VOLUME /data
# a number, because there is no passwd file to look a name up in
USER 65532:65532
ENTRYPOINT ["/tamis"]
CMD ["--help"]
